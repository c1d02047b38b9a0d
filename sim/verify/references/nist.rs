//! NIST Statistical Reference Datasets, univariate summary statistics: all nine sets.
//!
//! In: nothing. Out: [`Reference`]s: certified mean, standard deviation and lag-one autocorrelation. The data
//! are those of NIST (public domain). The wrong number is the last observation, one standard
//! deviation too large.

use crate::stats::{Welford, lag1_autocorrelation};
use crate::verify::reference::Reference;

use super::relative;

const OF: (&str, &str) = (
    "NIST data sets",
    "NIST Statistical Reference Datasets, certified values",
);

/// Deflections of a beam under pressure.
#[rustfmt::skip]
const LEW: [i16; 200] = [
    -213, -564, -35, -15, 141, 115, -420, -360, 203, -338, -431, 194, -220, -513, 154, -125, -559,
    92, -21, -579, -52, 99, -543, -175, 162, -457, -346, 204, -300, -474, 164, -107, -572, -8, 83,
    -541, -224, 180, -420, -374, 201, -236, -531, 83, 27, -564, -112, 131, -507, -254, 199, -311,
    -495, 143, -46, -579, -90, 136, -472, -338, 202, -287, -477, 169, -124, -568, 17, 48, -568,
    -135, 162, -430, -422, 172, -74, -577, -13, 92, -534, -243, 194, -355, -465, 156, -81, -578,
    -64, 139, -449, -384, 193, -198, -538, 110, -44, -577, -6, 66, -552, -164, 161, -460, -344,
    205, -281, -504, 134, -28, -576, -118, 156, -437, -381, 200, -220, -540, 83, 11, -568, -160,
    172, -414, -408, 188, -125, -572, -32, 139, -492, -321, 205, -262, -504, 142, -83, -574, 0, 48,
    -571, -106, 137, -501, -266, 190, -391, -406, 194, -186, -553, 83, -13, -577, -49, 103, -515,
    -280, 201, 300, -506, 131, -45, -578, -80, 138, -462, -361, 201, -211, -554, 32, 74, -533,
    -235, 187, -372, -442, 182, -147, -566, 25, 68, -535, -244, 194, -351, -463, 174, -125, -570,
    15, 72, -550, -190, 172, -424, -385, 198, -218, -536, 96,
];

/// Lottery numbers.
#[rustfmt::skip]
const LOTTERY: [i16; 218] = [
    162, 671, 933, 414, 788, 730, 817, 33, 536, 875, 670, 236, 473, 167, 877, 980, 316, 950, 456,
    92, 517, 557, 956, 954, 104, 178, 794, 278, 147, 773, 437, 435, 502, 610, 582, 780, 689, 562,
    964, 791, 28, 97, 848, 281, 858, 538, 660, 972, 671, 613, 867, 448, 738, 966, 139, 636, 847,
    659, 754, 243, 122, 455, 195, 968, 793, 59, 730, 361, 574, 522, 97, 762, 431, 158, 429, 414,
    22, 629, 788, 999, 187, 215, 810, 782, 47, 34, 108, 986, 25, 644, 829, 630, 315, 567, 919, 331,
    207, 412, 242, 607, 668, 944, 749, 168, 864, 442, 533, 805, 372, 63, 458, 777, 416, 340, 436,
    140, 919, 350, 510, 572, 905, 900, 85, 389, 473, 758, 444, 169, 625, 692, 140, 897, 672, 288,
    312, 860, 724, 226, 884, 508, 976, 741, 476, 417, 831, 15, 318, 432, 241, 114, 799, 955, 833,
    358, 935, 146, 630, 830, 440, 642, 356, 373, 271, 715, 367, 393, 190, 669, 8, 861, 108, 795,
    269, 590, 326, 866, 64, 523, 862, 840, 219, 382, 998, 4, 628, 305, 747, 247, 34, 747, 729, 645,
    856, 974, 24, 568, 24, 694, 608, 480, 410, 729, 947, 293, 53, 930, 223, 203, 677, 227, 62, 455,
    387, 318, 562, 242, 428, 968,
];

/// Transmittance of a filter, in 0.00001 above 2.
#[rustfmt::skip]
const MAVRO: [i16; 50] = [
    180, 170, 180, 190, 180, 170, 150, 140, 150, 150, 170, 180, 180, 190, 190, 210, 200, 160, 140,
    130, 130, 150, 150, 160, 150, 140, 130, 140, 150, 140, 150, 160, 150, 160, 190, 200, 200, 210,
    220, 230, 240, 250, 270, 260, 260, 260, 270, 260, 250, 240,
];

/// Speed of light, in 0.01 million m/s.
#[rustfmt::skip]
const MICHELSO: [i32; 100] = [
    29985, 29974, 29990, 30007, 29993, 29985, 29995, 29998, 29998, 29988, 30000, 29998, 29993,
    29965, 29976, 29981, 30000, 30000, 29996, 29996, 29996, 29994, 29996, 29994, 29988, 29980,
    29985, 29988, 29990, 29984, 29983, 29979, 29981, 29988, 29988, 29983, 29980, 29979, 29976,
    29980, 29988, 29988, 29988, 29986, 29972, 29972, 29962, 29986, 29997, 29995, 29988, 29991,
    29985, 29987, 29984, 29984, 29985, 29984, 29984, 29984, 29989, 29981, 29981, 29982, 29980,
    29977, 29976, 29974, 29975, 29976, 29991, 29992, 29989, 29986, 29988, 29972, 29984, 29985,
    29985, 29978, 29989, 29984, 29978, 29981, 29976, 29981, 29979, 29981, 29982, 29985, 29987,
    29987, 29981, 29974, 29981, 29994, 29995, 29980, 29981, 29987,
];

/// Digits of pi by the spigot of Rabinowitz and Wagon (1995), with nines held back.
fn pi_digits(count: usize) -> Vec<f64> {
    let mut cells = vec![2_u64; count * 10 / 3 + 20];
    let (mut digits, mut held, mut nines) = (Vec::new(), None, 0);
    while digits.len() < count {
        let mut carry = 0;
        for (i, cell) in cells.iter_mut().enumerate().rev() {
            let value = *cell * 10 + carry;
            let base = if i == 0 { 10 } else { 2 * i as u64 + 1 };
            *cell = value % base;
            carry = value / base * if i == 0 { 1 } else { i as u64 };
        }
        if carry == 9 {
            nines += 1;
            continue;
        }
        digits.extend(held.map(|h: u64| h + carry / 10));
        digits.extend(std::iter::repeat_n(if carry >= 10 { 0 } else { 9 }, nines));
        (held, nines) = (Some(carry % 10), 0);
    }
    digits.truncate(count);
    digits.into_iter().map(|d| d as f64).collect()
}

/// The first value, then 500 times both others.
fn accurate(first: f64, low: f64, high: f64) -> Vec<f64> {
    std::iter::once(first)
        .chain((0..500).flat_map(|_| [low, high]))
        .collect()
}

/// All values of this file. Tolerances: the digits that double precision leaves of decimal data.
pub fn references() -> Vec<Reference> {
    // The file of NIST has a 3 for the 8 at place 957 of pi.
    let mut pi = pi_digits(5000);
    if let Some(digit) = pi.get_mut(956) {
        *digit = 3.0;
    }
    let mavro = MAVRO.iter().map(|&x| f64::from(x) / 100_000.0 + 2.0);
    let michelso = MICHELSO.iter().map(|&x| f64::from(x) / 100.0);
    type Row = (&'static str, Vec<f64>, [f64; 3], [f64; 3]);
    let close = [1e-13, 1e-13, 1e-11];
    let rows: [Row; 9] = [
        (
            "PiDigits",
            pi,
            [4.5348, 2.867_339_060_288_71, -0.003_550_992_872_379_72],
            close,
        ),
        (
            "Lottery",
            LOTTERY.iter().map(|&x| x.into()).collect(),
            [
                518.958_715_596_330,
                291.699_727_470_969,
                -0.120_948_622_967_393,
            ],
            close,
        ),
        (
            "Lew",
            LEW.iter().map(|&x| x.into()).collect(),
            [-177.435, 277.332_168_044_316, -0.307_304_800_605_679],
            close,
        ),
        (
            "Mavro",
            mavro.collect(),
            [2.001_856, 0.000_429_123_454_003_053, 0.937_989_183_438_248],
            [1e-13, 1e-11, 1e-11],
        ),
        (
            "Michelso",
            michelso.collect(),
            [299.8524, 0.079_010_547_819_051_8, 0.535_199_668_621_283],
            [1e-13, 1e-12, 1e-11],
        ),
        (
            "NumAcc1",
            vec![10_000_001.0, 10_000_003.0, 10_000_002.0],
            [10_000_002.0, 1.0, -0.5],
            close,
        ),
        (
            "NumAcc2",
            accurate(1.2, 1.1, 1.3),
            [1.2, 0.1, -0.999],
            [1e-13, 1e-12, 1e-12],
        ),
        (
            "NumAcc3",
            accurate(1_000_000.2, 1_000_000.1, 1_000_000.3),
            [1_000_000.2, 0.1, -0.999],
            [1e-13, 1e-9, 1e-8],
        ),
        (
            "NumAcc4",
            accurate(10_000_000.2, 10_000_000.1, 10_000_000.3),
            [10_000_000.2, 0.1, -0.999],
            [1e-13, 1e-8, 1e-7],
        ),
    ];
    let mut all = Vec::new();
    for (name, data, values, tolerances) in rows {
        let figures = |data: &[f64]| {
            let sum: Welford = data.iter().copied().collect();
            let lag = lag1_autocorrelation(data).unwrap_or(f64::NAN);
            [sum.mean(), sum.sd(), lag]
        };
        let right = figures(&data);
        let mut other = data;
        if let Some(last) = other.last_mut() {
            *last += right[1];
        }
        let wrong = figures(&other);
        for (n, what) in ["mean", "standard deviation", "lag-one autocorrelation"]
            .into_iter()
            .enumerate()
        {
            all.push(relative(
                OF,
                format!("{name}: {what}"),
                (values[n], tolerances[n]),
                right[n],
                wrong[n],
            ));
        }
    }
    all
}
