//! A page of 80 columns.
//!
//! In: lines, with an indent for what does not fit. Out: text.

/// Columns of a page.
pub const COLUMNS: usize = 80;

/// Lines in the making.
#[derive(Debug, Default)]
pub struct Page {
    text: String,
}

impl Page {
    /// A heading, underlined, with a blank line before it.
    pub fn heading(&mut self, text: &str) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
        self.line(0, text);
        self.line(0, &"-".repeat(text.chars().count().min(COLUMNS)));
    }

    /// A line; what goes beyond the page is broken at blanks and goes on at column `indent`.
    pub fn line(&mut self, indent: usize, text: &str) {
        let mut rest = text.trim_end();
        let mut lead = 0;
        loop {
            self.text.push_str(&" ".repeat(lead));
            let room = COLUMNS - lead.min(COLUMNS / 2);
            let fits = rest
                .char_indices()
                .nth(room)
                .map_or(rest.len(), |(at, _)| at);
            if fits == rest.len() {
                self.text.push_str(rest);
                self.text.push('\n');
                return;
            }
            // One more character, so that a blank right after the last column still counts.
            let upto = rest
                .char_indices()
                .nth(room + 1)
                .map_or(rest.len(), |(at, _)| at);
            let least = rest.len() - rest.trim_start().len();
            let cut = rest[..upto]
                .rfind(' ')
                .filter(|&at| at > least)
                .unwrap_or(fits);
            self.text.push_str(rest[..cut].trim_end());
            self.text.push('\n');
            rest = rest[cut..].trim_start();
            lead = indent.min(COLUMNS / 2);
        }
    }

    /// A named figure: the name in the first columns, then the figure.
    pub fn row(&mut self, name: &str, text: &str) {
        self.line(16, &format!("  {name:<13} {text}"));
    }

    /// The page.
    pub fn text(self) -> String {
        self.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_goes_beyond_the_page_and_nothing_is_lost() {
        let words: Vec<String> = (0..60).map(|n| "ü".repeat(n % 9 + 1)).collect();
        let mut page = Page::default();
        page.row("name", &words.join(" "));
        page.line(4, &"x".repeat(200));
        let text = page.text();
        assert!(
            text.lines().all(|line| line.chars().count() <= COLUMNS),
            "{text}"
        );
        let got: Vec<&str> = text.split_whitespace().skip(1).take(60).collect();
        assert_eq!(got, words);
        assert_eq!(text.matches('x').count(), 200);
    }
}
