//! A published value that needs no simulation.
//!
//! In: the value, what the program computes, and what it computes from a wrong number. Out: [`Reference`].

/// One value of a table, a textbook or another library beside our own.
#[derive(Debug, Clone)]
pub struct Reference {
    /// What part of the program it is about.
    pub group: &'static str,
    /// What it is.
    pub what: String,
    /// Where the value comes from.
    pub source: &'static str,
    /// Published value.
    pub expected: f64,
    /// Largest difference, absolute.
    pub tolerance: f64,
    /// What the program computes.
    pub computed: f64,
    /// What it computes from one number that is a little wrong; it must miss.
    pub wrong: f64,
}

impl Reference {
    /// Whether the value is reproduced.
    pub fn reproduced(&self) -> bool {
        (self.computed - self.expected).abs() <= self.tolerance
    }

    /// Whether the wrong number is caught.
    pub fn can_fail(&self) -> bool {
        // Not `>`: a wrong number that gives no value at all is caught as well.
        let near = (self.wrong - self.expected).abs() <= self.tolerance;
        !near
    }

    /// Whether it is reproduced and could have failed.
    pub fn holds(&self) -> bool {
        self.reproduced() && self.can_fail()
    }
}
