//! The leaves of a scenario file: texts, numbers and words, each against its place in the schema.
//!
//! In: a leaf and its schema. Out: problems, pushed to the walk.

use serde_json::Value;

use super::super::form::Form;
use super::super::nearest::{list, nearest};
use super::super::problem::{Problem, Step};
use super::super::wording::{found, types};
use super::Walk;

impl Walk<'_> {
    pub(super) fn text(&mut self, text: &str, schema: &Value) {
        match schema
            .get("format")
            .and_then(Value::as_str)
            .and_then(Form::named)
        {
            Some(form) => {
                if let Err(complaint) = form.check(text) {
                    let mut problem = complaint.at(self.here());
                    if let Some(help) = self.help_for_number(text) {
                        problem = problem.help(help);
                    }
                    self.push(problem);
                }
            }
            None if text.trim().is_empty() => {
                let problem =
                    Problem::error(self.here(), format!("{} is an empty text", self.name()))
                        .expected("a text");
                self.push(problem);
            }
            None => {}
        }
    }

    /// What is meant by a bare number in a place where that can be told from the key.
    fn help_for_number(&self, text: &str) -> Option<String> {
        let number = text.trim();
        number.parse::<f64>().ok()?;
        let Some(Step::Key(key)) = self.path.last() else {
            return None;
        };
        match key.as_str() {
            "warm_up" | "measure" | "run_out" => {
                Some("write the time with its unit, such as `4 weeks`".to_string())
            }
            "packers" => Some(format!(
                "here stand the pouches that they can pack, such as `140 /min`; people stand in the crew: \
                 `crew: {{ run: {{ packers: {number} }} }}`"
            )),
            _ => None,
        }
    }

    pub(super) fn number(&mut self, number: &serde_json::Number, schema: &Value) {
        if schema.get("format").is_some() {
            return self.text(&number.to_string(), schema);
        }
        let whole = types(schema).contains(&"integer");
        let value = number.as_f64().unwrap_or(f64::NAN);
        let least = schema
            .get("minimum")
            .and_then(Value::as_f64)
            .unwrap_or(if whole { 0.0 } else { f64::MIN });
        let most = schema
            .get("maximum")
            .and_then(Value::as_f64)
            .unwrap_or(if whole { f64::from(u32::MAX) } else { f64::MAX });
        // A seed may use all of its 64 bits.
        let most = if self.path.last() == Some(&Step::Key("seed".to_string())) {
            u64::MAX as f64
        } else {
            most
        };
        let range = match schema.get("maximum") {
            Some(_) => format!("from {least} to {most}"),
            None => format!("from {least}"),
        };
        let problem = if whole && !(number.is_u64() || number.is_i64()) {
            Problem::error(
                self.here(),
                format!("{} is {number}, not a whole number", self.name()),
            )
            .expected(format!("a whole number {range}"))
        } else if !(least..=most).contains(&value) {
            Problem::error(self.here(), format!("{} is {number}", self.name())).expected(format!(
                "a {}number {range}",
                if whole { "whole " } else { "" }
            ))
        } else {
            return;
        };
        self.push(problem);
    }

    pub(super) fn word(&mut self, value: &Value, words: &[(String, Option<String>)]) {
        let names = || words.iter().map(|(word, _)| word.as_str());
        if value
            .as_str()
            .is_some_and(|text| names().any(|word| word == text))
        {
            return;
        }
        let mut problem = Problem::error(
            self.here(),
            format!("{} cannot be {}", self.name(), found(value)),
        )
        .expected(list(names()));
        if let Some(near) = value.as_str().and_then(|text| nearest(text, names())) {
            problem = problem.help(format!("did you mean `{near}`?"));
        }
        self.push(problem);
    }
}
