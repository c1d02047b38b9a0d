//! Lines that hold together: each ends with a sum over itself and all lines before it.
//!
//! In: objects of JSON, one a line. Out: the same with `"sum"` as their last member, and back. A line that is changed,
//! missing, doubled, moved or of another file does not fit, whatever it holds.

use sha2::{Digest, Sha256};

/// What comes between a line and its sum.
const KEY: &str = ",\"sum\":\"";
/// What comes after it.
const END: &str = "\"}";

/// The sum so far.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Seal {
    sum: String,
}

impl Seal {
    /// A line with its sum, from an object with at least one member.
    pub fn close(&mut self, object: &str) -> String {
        let open = object.strip_suffix('}').unwrap_or(object);
        self.add(open);
        format!("{open}{KEY}{}{END}", self.sum)
    }

    /// The object of a line; `None` where the line is not the next one.
    pub fn open(&mut self, line: &str) -> Option<String> {
        let (open, sum) = line.strip_suffix(END)?.rsplit_once(KEY)?;
        self.add(open);
        (self.sum == sum).then(|| format!("{open}}}"))
    }

    fn add(&mut self, open: &str) {
        let mut hash = Sha256::new();
        hash.update(&self.sum);
        hash.update(open);
        self.sum = hash
            .finalize()
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines() -> Vec<String> {
        let mut seal = Seal::default();
        ["{\"a\":1}", "{\"a\":2}", "{\"a\":2}"]
            .map(|object| seal.close(object))
            .to_vec()
    }

    fn opened(lines: &[String]) -> Option<Vec<String>> {
        let mut seal = Seal::default();
        lines.iter().map(|line| seal.open(line)).collect()
    }

    #[test]
    fn lines_open_in_their_order_only() {
        let all = lines();
        assert!(serde_json::from_str::<serde_json::Value>(&all[0]).is_ok());
        let objects = opened(&all).unwrap();
        assert_eq!(objects, ["{\"a\":1}", "{\"a\":2}", "{\"a\":2}"]);
        for order in [&[1, 0, 2][..], &[0, 2, 1], &[0, 0, 1], &[1, 2], &[0, 2]] {
            let other: Vec<String> = order.iter().map(|&i| all[i].clone()).collect();
            assert_eq!(opened(&other), None, "{order:?}");
        }
    }

    /// The sum of the first line is that of its text up to the last brace: `printf '{"a":1' | sha256sum`.
    #[test]
    fn the_sum_is_that_of_common_tools() {
        let sum = "8b0f0d75aabe01bbfba9341752c2cf7626f154e676aa791427b31aebfabc2592";
        let line = lines().remove(0);
        assert!(
            line.ends_with("\"}") && line.len() == "{\"a\":1".len() + KEY.len() + 64 + END.len()
        );
        assert!(line.contains(sum), "{line}");
    }
}
