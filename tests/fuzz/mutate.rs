//! Inputs that nearly make sense: scenarios, order books and parts with something changed in their structure or their
//! text.
//!
//! In: good inputs and a [`Luck`]. Out: another input. A scenario is changed as the tree it is - values by others of
//! their kind, keys and blocks doubled, moved, taken from another scenario - so that most changes get past the reader
//! of YAML; some are changed as text.

use serde_json::{Map, Value};

use crate::luck::Luck;

/// Numbers that hurt, and some that do not.
const NUMBERS: [&str; 22] = [
    "0",
    "1",
    "2",
    "-1",
    "0.001",
    "1e-9",
    "3",
    "7",
    "10",
    "64",
    "65",
    "100",
    "999",
    "1000",
    "100000",
    "1e9",
    "1e15",
    "1e300",
    "9999999999999999999999",
    "nan",
    "inf",
    "",
];

/// Distributions around a value with its unit.
const DISTRIBUTIONS: [&str; 12] = [
    "exponential, mean {}",
    "lognormal, median {}, sigma 3",
    "lognormal, mean {}, cv 20",
    "low {}, typical {}, high {}",
    "uniform from {} to {}",
    "normal, mean {}, sd {}",
    "typical {}, worst in ten {}",
    "geometric, mean {}, at most 12",
    "erlang, mean {}, k 3",
    "weibull, mean {}, shape 0.2",
    "empirical {}, {}",
    "{}, from {} to {}",
];

/// Texts that stand where none of their kind is expected.
const TEXTS: [&str; 18] = [
    "always",
    "any",
    "order",
    "roll",
    "auto",
    "100 %",
    "0 %",
    "33 %",
    "2027-01-01",
    "2027-02-30",
    "Mon-Fri 06:00-14:00",
    "Sun 23:59-00:01",
    "5 working days of day",
    "first_come",
    "class_first",
    "same_family",
    "~",
    "é\u{200b}x",
];

fn count(value: &Value) -> usize {
    match value {
        Value::Object(map) => 1 + map.values().map(count).sum::<usize>(),
        Value::Array(list) => 1 + list.iter().map(count).sum::<usize>(),
        _ => 1,
    }
}

/// The `n`-th value of a tree, counted as `count` does.
fn nth(value: &mut Value, mut n: usize) -> Option<&mut Value> {
    if n == 0 {
        return Some(value);
    }
    n -= 1;
    let children: Vec<&mut Value> = match value {
        Value::Object(map) => map.values_mut().collect(),
        Value::Array(list) => list.iter_mut().collect(),
        _ => Vec::new(),
    };
    for child in children {
        let size = count(child);
        if n < size {
            return nth(child, n);
        }
        n -= size;
    }
    None
}

/// Blocks of a tree by their keys.
fn blocks<'a>(value: &'a Value, key: &str, found: &mut Vec<&'a Value>) {
    match value {
        Value::Object(map) => {
            found.extend(map.get(key));
            map.values().for_each(|child| blocks(child, key, found));
        }
        Value::Array(list) => list.iter().for_each(|child| blocks(child, key, found)),
        _ => {}
    }
}

/// A number with another in its place, its unit kept; or anything else.
fn scalar(text: &str, luck: &mut Luck) -> String {
    let digits = text.find(|c: char| c.is_ascii_digit());
    let Some(from) = digits else {
        return (*luck.of(&TEXTS)).to_owned();
    };
    let rest = &text[from..];
    let end = rest
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(rest.len());
    let number: f64 = rest[..end].parse().unwrap_or(1.0);
    let unit = rest[end..]
        .trim_start()
        .split([',', ' '])
        .next()
        .unwrap_or("");
    let scaled = |factor: f64| format!("{}", number * factor);
    let new = match luck.below(8) {
        0..=2 => scaled(*luck.of(&[0.1, 0.5, 0.9, 1.1, 2.0, 3.0])),
        3 => scaled(*luck.of(&[0.001, 10.0, 100.0, 1e4, 1e7, -1.0])),
        4 => {
            return luck
                .of(&DISTRIBUTIONS)
                .replace("{}", &format!("{number} {unit}"));
        }
        5 if text.len() < 40 => return (*luck.of(&TEXTS)).to_owned(),
        _ => (*luck.of(&NUMBERS)).to_owned(),
    };
    format!("{}{new}{}", &text[..from], &rest[end..])
}

/// One change of a tree.
fn change(tree: &mut Value, others: &[Value], luck: &mut Luck) {
    let size = count(tree);
    let Some(at) = nth(tree, luck.below(size)) else {
        return;
    };
    match at {
        Value::String(text) => *text = scalar(text, luck),
        Value::Number(number) => {
            let text = scalar(&number.to_string(), luck);
            *at = text
                .parse::<f64>()
                .ok()
                .and_then(serde_json::Number::from_f64)
                .map_or(Value::String(text), |number| {
                    // Whole numbers stay whole.
                    match number.as_f64() {
                        Some(f) if f.fract() == 0.0 && f.abs() < 1e15 => Value::from(f as i64),
                        _ => Value::Number(number),
                    }
                });
        }
        Value::Bool(is) => *is = !*is,
        Value::Array(list) => change_list(list, luck),
        Value::Object(map) => change_block(map, others, luck),
        Value::Null => *at = Value::from("1"),
    }
}

fn change_list(list: &mut Vec<Value>, luck: &mut Luck) {
    if list.is_empty() {
        return;
    }
    let at = luck.below(list.len());
    match luck.below(4) {
        0 => drop(list.remove(at)),
        1 => list.insert(at, list[at].clone()),
        2 => list.reverse(),
        _ => list.extend(vec![list[at].clone(); luck.below(30)]),
    }
}

fn change_block(map: &mut Map<String, Value>, others: &[Value], luck: &mut Luck) {
    let keys: Vec<String> = map.keys().cloned().collect();
    if keys.is_empty() {
        return;
    }
    let key = luck.of(&keys).clone();
    let another = luck.of(&keys).clone();
    match luck.below(7) {
        0 => drop(map.shift_remove(&key)),
        1 => {
            let copy = map.get(&key).cloned().unwrap_or_default();
            map.insert(format!("{key}_2"), copy);
        }
        2 => {
            let moved = map.shift_remove(&key).unwrap_or_default();
            map.insert(key, moved);
        }
        3 => {
            let copy = map.get(&another).cloned().unwrap_or_default();
            map.insert(key, copy);
        }
        4 => {
            let renamed = map.shift_remove(&key).unwrap_or_default();
            map.insert(another, renamed);
        }
        _ => {
            let mut found = Vec::new();
            for other in others {
                blocks(other, &key, &mut found);
            }
            if !found.is_empty() {
                map.insert(key, (*luck.of(&found)).clone());
            }
        }
    }
}

/// A change of the text.
fn splice(text: &str, luck: &mut Luck) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    let at = luck.below(bytes.len());
    let to = (at + luck.below(60)).min(bytes.len());
    let piece = bytes[at..to].to_vec();
    let with: &[u8] = luck.of::<&[u8]>(&[
        b"",
        b"\"",
        b"'",
        b"[",
        b"{",
        b"]",
        b"}",
        b": ",
        b"- ",
        b"\t",
        b"\n---\n",
        b"\n...\n",
        b"&a ",
        b"*a ",
        b"!t ",
        b"\x07",
        b"\x00",
        b"\xff",
        b"\xef\xbb\xbf",
        b"\r",
        b"|\n",
        b"#",
        b"%",
        b"<<: ",
        b"? ",
    ]);
    let times = luck.below(3);
    match luck.below(4) {
        0 => drop(bytes.drain(at..to)),
        1 => drop(bytes.splice(at..at, piece)),
        2 => drop(bytes.splice(at..at, with.repeat(1 + times))),
        _ => drop(bytes.splice(at..to, with.to_vec())),
    }
    bytes
}

/// A scenario from one of the `texts`, whose trees are `trees`; `others` lend their blocks.
pub fn scenario(texts: &[String], trees: &[Value], others: &[Value], luck: &mut Luck) -> Vec<u8> {
    if luck.percent(20) {
        let mut bytes = luck.of(texts).as_bytes().to_vec();
        for _ in 0..=luck.below(2) {
            bytes = splice(&String::from_utf8_lossy(&bytes), luck);
        }
        return bytes;
    }
    let mut tree = luck.of(trees).clone();
    let most = *luck.of(&[1, 2, 5]);
    let changes = 1 + luck.below(most);
    for _ in 0..changes {
        change(&mut tree, others, luck);
    }
    let text = serde_yaml::to_string(&tree).unwrap_or_default();
    match luck.percent(5) {
        true => splice(&text, luck),
        false => text.into_bytes(),
    }
}

/// An order book from a good one.
pub fn book(text: &str, luck: &mut Luck) -> Vec<u8> {
    if luck.percent(20) {
        return splice(text, luck);
    }
    let mut rows: Vec<Vec<String>> = text
        .lines()
        .map(|line| line.split(',').map(str::to_owned).collect())
        .collect();
    for _ in 0..=luck.below(4) {
        let (a, b) = (luck.below(rows.len()), luck.below(rows.len()));
        let columns = rows[a].len();
        let column = luck.below(columns);
        match luck.below(9) {
            0 => rows[a][column] = rows[b].get(column).cloned().unwrap_or_default(),
            1 => rows[a][column] = (*luck.of(&NUMBERS)).to_owned(),
            2 => {
                let dates = [
                    "1980-01-01",
                    "2199-12-31",
                    "2027-02-08",
                    "2026-12-01 06:00",
                    "2027-02-30",
                    "2027-02-09 24:00",
                ];
                rows[a][column] = (*luck.of(&dates)).to_owned();
            }
            3 => rows.insert(a, rows[b].clone()),
            4 if rows.len() > 1 => drop(rows.remove(a)),
            5 => rows.swap(a, b),
            6 => rows[a].truncate(column + 1),
            7 => rows[a][column] = format!("\"{}", rows[a][column]),
            _ => rows.iter_mut().for_each(|row| {
                if row.len() > 1 {
                    row.remove(column.min(row.len() - 1));
                }
            }),
        }
        if rows.is_empty() {
            break;
        }
        rows.retain(|row| !row.is_empty());
    }
    let delimiter = *luck.of(&[",", ",", ",", ";", "\t"]);
    let lines: Vec<String> = rows.iter().map(|row| row.join(delimiter)).collect();
    lines.join(*luck.of(&["\n", "\n", "\r\n"])).into_bytes()
}

/// A damaged part, never the part itself.
pub fn part(bytes: &[u8], luck: &mut Luck) -> Vec<u8> {
    let mut new = bytes.to_vec();
    let at = luck.below(bytes.len());
    let to = (at + 1 + luck.below(200)).min(bytes.len());
    let lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
    let (a, b) = (luck.below(lines.len()), luck.below(lines.len()));
    let mut moved = lines.clone();
    match luck.below(8) {
        0 => new[at] ^= 1 << luck.below(8),
        1 => new[at] = b"0123456789.eE-+ \"{}:,\n\r"[luck.below(23)],
        2 => drop(new.drain(at..to)),
        3 => new.truncate(at),
        4 => drop(new.splice(at..at, bytes[at..to].iter().copied())),
        5 => {
            moved.swap(a, b);
            new = moved.concat();
        }
        6 => {
            moved.insert(a, lines[b]);
            new = moved.concat();
        }
        _ => {
            moved.remove(a);
            new = moved.concat();
        }
    }
    match new == bytes {
        true => part(bytes, luck),
        false => new,
    }
}
