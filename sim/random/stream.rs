//! Random bits that depend on nothing but their keys.
//!
//! In: seed, replication, the [`Source`] of the chance and two numbers that name the event (an
//! order, a visit, a machine). Out: a [`Stream`] of 64-bit words. Two policies compared on one
//! seed meet the same order book and the same breakdowns, because no draw shifts another.
//!
//! The words come from SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
//! generators", OOPSLA 2014). Seed, replication and the thing a chance is about are hashed in a chain
//! of its finaliser, so neighbouring ones land anywhere in the period. Source and number are added as
//! multiples of two further odd constants: the finaliser of the word itself mixes them, and two streams
//! of one thing would have to be drawn from some 2^40 times to meet.

use rand::TryRng;
use std::convert::Infallible;

/// The odd constant SplitMix64 steps by: 2^64 over the golden ratio.
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// Steps from one source to the next and from one number to the next: odd, bits all over, no small multiple of one
/// another nor of [`GOLDEN`] (two of the multipliers of Steele and Vigna, "Computationally easy, spectrally good
/// multipliers", 2022, from memory).
const SOURCE: u64 = 0xd134_2543_de82_ef95;
const NUMBER: u64 = 0xaf25_1af3_b0f0_25b5;

/// The SplitMix64 finaliser (variant 13 of David Stafford's mixers).
#[inline(always)]
const fn mix(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// One round of the key chain. The step before mixing keeps an all-zero key from staying zero.
#[inline(always)]
const fn absorb(state: u64, key: u64) -> u64 {
    mix((state ^ key).wrapping_add(GOLDEN))
}

/// What a chance is about. The number of each is part of the key, so it may never change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub enum Source {
    /// Time between orders.
    ArrivalGap = 1,
    /// The class of an order.
    OrderClass = 2,
    /// How many lines an order has.
    OrderLines = 3,
    /// The product of a line.
    OrderProduct = 4,
    /// The quantity of a line.
    OrderQuantity = 5,
    /// The due date of an order.
    OrderDue = 6,
    /// The length of a changeover.
    Changeover = 7,
    /// Work at the bench.
    Bench = 8,
    /// Running time to a machine failure.
    Failure = 9,
    /// Time to repair a machine.
    Repair = 10,
    /// Running time to a short stop.
    MicroStopGap = 11,
    /// The length of a short stop.
    MicroStopLength = 12,
    /// Web run to a web break.
    WebBreak = 13,
    /// The length of a web break.
    WebBreakLength = 14,
    /// Who does not come in.
    Absence = 15,
    /// Pouches rejected.
    Rejects = 16,
    /// Web wasted at start and end.
    Waste = 17,
    /// The length of a cure hold.
    Cure = 18,
    /// Whether work has to be done again.
    Rework = 19,
    /// When printed rolls come from the press.
    PressRelease = 20,
    /// Release of held work by quality control.
    Inspection = 21,
    /// Packing.
    Packing = 22,
    /// Material that is late.
    Supply = 23,
    /// The share of work a speed falls short by.
    SpeedLoss = 24,
    /// Start of the bootstrap and other resampling.
    Resample = 25,
    /// Anything else.
    Other = 26,
    /// What the laboratory says of a cured roll, and when.
    Laboratory = 27,
}

/// All streams of one replication.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Streams {
    root: u64,
}

impl Streams {
    /// The streams of replication `replication` under `seed`.
    pub const fn new(seed: u64, replication: u64) -> Streams {
        Streams {
            root: absorb(absorb(GOLDEN, seed), replication),
        }
    }

    /// The stream of one chance event: its source, the thing it is about, its number there.
    #[inline]
    pub const fn of(&self, source: Source, thing: u64, number: u64) -> Stream {
        self.about(thing).of(source, number)
    }

    /// All chances about one thing (an order, a machine), for whoever draws from several of them.
    #[inline]
    pub const fn about(&self, thing: u64) -> Chances {
        Chances {
            state: absorb(self.root, thing),
        }
    }
}

/// The chances about one thing in one replication.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chances {
    state: u64,
}

impl Chances {
    /// The stream of one of them.
    #[inline]
    pub const fn of(&self, source: Source, number: u64) -> Stream {
        let source = SOURCE.wrapping_mul(source as u64);
        Stream {
            state: self
                .state
                .wrapping_add(source)
                .wrapping_add(NUMBER.wrapping_mul(number)),
        }
    }
}

/// A stream of random words: SplitMix64, 8 bytes, cheap to make and to copy. A copy repeats the
/// draws of its original.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stream {
    state: u64,
}

impl Stream {
    /// SplitMix64 from the given state, as published.
    pub const fn from_state(state: u64) -> Stream {
        Stream { state }
    }

    /// The next word.
    #[inline(always)]
    pub const fn next_word(&mut self) -> u64 {
        self.state = self.state.wrapping_add(GOLDEN);
        mix(self.state)
    }

    /// A number strictly between 0 and 1, evenly spread over 2^53 values.
    #[inline]
    pub fn unit(&mut self) -> f64 {
        // Half a step up, so that neither a logarithm nor a quantile ever meets 0 or 1. The top
        // value is 1 - 2^-54, which f64 would round to 1; 52 bits keep it below.
        ((self.next_word() >> 12) as f64 + 0.5) * (1.0 / (1u64 << 52) as f64)
    }

    /// True with the given probability; never for 0, always for 1.
    #[inline]
    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }
}

impl TryRng for Stream {
    type Error = Infallible;

    #[inline]
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        // The upper half: the better bits of the mixer.
        Ok((self.next_word() >> 32) as u32)
    }

    #[inline(always)]
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(self.next_word())
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        for chunk in bytes.chunks_mut(8) {
            let word = self.next_word().to_le_bytes();
            for (to, from) in chunk.iter_mut().zip(word) {
                *to = from;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::Rng;
    use statrs::distribution::{ChiSquared, ContinuousCDF};

    /// Published check values of SplitMix64 for seeds 0 and 1234567.
    #[test]
    fn splitmix64_gives_its_published_words() {
        let words = |seed| {
            let mut s = Stream::from_state(seed);
            [s.next_u64(), s.next_u64(), s.next_u64()]
        };
        assert_eq!(
            words(0),
            [
                16294208416658607535,
                7960286522194355700,
                487617019471545679
            ]
        );
        assert_eq!(
            words(1234567),
            [
                6457827717110365317,
                3203168211198807973,
                9817491932198370423
            ]
        );
    }

    #[test]
    fn a_stream_is_eight_bytes_and_depends_on_every_key() {
        assert_eq!(std::mem::size_of::<Stream>(), 8);
        let base = Streams::new(1, 2);
        let first = base.of(Source::Cure, 3, 4);
        assert_eq!(first, Streams::new(1, 2).of(Source::Cure, 3, 4));
        for other in [
            base.of(Source::Waste, 3, 4),
            base.of(Source::Cure, 4, 3),
            base.of(Source::Cure, 3, 5),
            Streams::new(2, 1).of(Source::Cure, 3, 4),
            Streams::new(1, 3).of(Source::Cure, 3, 4),
        ] {
            assert_ne!(first, other);
        }
        assert_ne!(Streams::new(0, 0).of(Source::ArrivalGap, 0, 0).state, 0);
    }

    #[test]
    fn bytes_are_the_words_in_little_endian() {
        let mut bytes = [0u8; 11];
        Stream::from_state(0).fill_bytes(&mut bytes);
        assert_eq!(bytes[..8], 16294208416658607535u64.to_le_bytes());
        assert_eq!(bytes[8..], 7960286522194355700u64.to_le_bytes()[..3]);
    }

    #[test]
    fn unit_stays_inside_its_ends_and_chance_keeps_its_promise() {
        let mut s = Stream::from_state(9);
        assert!((0..100_000).map(|_| s.unit()).all(|u| u > 0.0 && u < 1.0));
        let top = ((u64::MAX >> 12) as f64 + 0.5) / (1u64 << 52) as f64;
        assert!(top < 1.0);
        assert!((0..1000).all(|_| s.chance(1.0) && !s.chance(0.0)));
    }

    const DRAWS: u64 = 100_000;

    /// Draws over neighbouring keys, one way of stepping each: along the thing, along the number, along the
    /// replication, along the seed, and the third word of neighbouring streams.
    fn neighbours() -> Vec<Vec<f64>> {
        let one = |f: &dyn Fn(u64) -> Stream| (0..DRAWS).map(|i| f(i).unit()).collect();
        let home = Streams::new(2024, 7);
        vec![
            one(&|i| home.of(Source::Failure, i, 0)),
            one(&|i| home.of(Source::Failure, 0, i)),
            one(&|i| Streams::new(2024, i).of(Source::Failure, 0, 0)),
            one(&|i| Streams::new(i, 7).of(Source::Failure, 0, 0)),
            one(&|i| home.of(Source::Repair, i, 0)),
            // Parts of an order's numbers: webs and SKUs, rolls, stations.
            one(&|i| home.of(Source::Bench, 3, i << 40)),
            one(&|i| home.of(Source::Bench, 4, i << 16)),
            one(&|i| home.of(Source::Changeover, 3, i << 24 | 1)),
            one(&|i| {
                let mut s = home.of(Source::Failure, i, 0);
                s.next_word();
                s.next_word();
                s
            }),
        ]
    }

    /// Chi-square of counts against equal shares, refused beyond the 0.9999 point.
    fn assert_even(counts: &[u64], what: &str) {
        let n: u64 = counts.iter().sum();
        let share = n as f64 / counts.len() as f64;
        let chi2: f64 = counts
            .iter()
            .map(|c| (*c as f64 - share).powi(2) / share)
            .sum();
        let limit = ChiSquared::new(counts.len() as f64 - 1.0)
            .unwrap()
            .inverse_cdf(0.9999);
        assert!(chi2 < limit, "{what}: chi-square {chi2} over {limit}");
    }

    #[test]
    fn neighbouring_keys_give_even_and_unrelated_draws() {
        let sets = neighbours();
        for (k, draws) in sets.iter().enumerate() {
            let mut singles = [0u64; 64];
            let mut pairs = [0u64; 256];
            for pair in draws.windows(2) {
                singles[(pair[0] * 64.0) as usize] += 1;
            }
            // Pairs that do not overlap, as the chi-square test wants them.
            for pair in draws.chunks_exact(2) {
                pairs[(pair[0] * 16.0) as usize * 16 + (pair[1] * 16.0) as usize] += 1;
            }
            assert_even(&singles, &format!("set {k}, single draws"));
            assert_even(&pairs, &format!("set {k}, pairs"));
        }
        // Correlation between sets and with the next key: about normal with sd 1/sqrt(n).
        let correlation = |x: &[f64], y: &[f64]| {
            let products = x.iter().zip(y).map(|(a, b)| (a - 0.5) * (b - 0.5));
            12.0 * products.sum::<f64>() / x.len().min(y.len()) as f64
        };
        for (i, x) in sets.iter().enumerate() {
            for (j, y) in sets.iter().enumerate() {
                let shifted = correlation(x, &y[1..]) * (DRAWS as f64).sqrt();
                assert!(shifted.abs() < 4.0, "sets {i} and {j} shifted: {shifted}");
                if i < j {
                    let same = correlation(x, y) * (DRAWS as f64).sqrt();
                    assert!(same.abs() < 4.0, "sets {i} and {j}: {same}");
                }
            }
        }
    }

    /// Each key bit flipped should flip each state bit half the time.
    #[test]
    fn one_key_bit_flips_half_of_the_state() {
        let home = Streams::new(5, 5);
        for bit in 0..64 {
            let flips: u32 = (0..400u64)
                .map(|i| {
                    let one = home.of(Source::Cure, i, 1).state;
                    let two = home.of(Source::Cure, i ^ (1 << bit), 1).state;
                    (one ^ two).count_ones()
                })
                .sum();
            // 25 600 fair coins: sd 80, five of them allowed.
            assert!(
                (f64::from(flips) - 12_800.0).abs() < 400.0,
                "bit {bit}: {flips}"
            );
        }
    }
}
