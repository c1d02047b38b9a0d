//! A page read back into elements and text.

/// What is not looked at: elements by name, and by `class` or `id`.
const SKIPPED: [&str; 10] = [
    "svg", "script", "h1", "h2", "h3", "th", "caption", "dt", "pre", "thead",
];
const SKIPPED_CLASSES: [&str; 1] = ["scenario"];

/// An element or a piece of text.
pub enum Node {
    Text(String),
    Element {
        name: String,
        attributes: String,
        children: Vec<Node>,
    },
}

impl Node {
    pub fn attribute(&self, wanted: &str) -> Option<String> {
        let Node::Element { attributes, .. } = self else {
            return None;
        };
        let start = attributes.find(&format!(" {wanted}=\""))? + wanted.len() + 3;
        let end = attributes[start..].find('"')? + start;
        Some(unescaped(&attributes[start..end]))
    }

    /// The text, that of elements of class `but` left out.
    pub fn text(&self, but: &str) -> String {
        match self {
            Node::Text(text) => text.clone(),
            _ if !but.is_empty() && self.attribute("class").as_deref() == Some(but) => {
                String::new()
            }
            Node::Element { children, .. } => children.iter().map(|c| c.text(but)).collect(),
        }
    }

    pub fn is_skipped(&self) -> bool {
        let Node::Element { name, .. } = self else {
            return false;
        };
        let class = self.attribute("class").unwrap_or_default();
        SKIPPED.contains(&name.as_str())
            || SKIPPED_CLASSES.contains(&class.as_str())
            || self.attribute("aria-labelledby").as_deref() == Some("method-h")
    }
}

pub fn unescaped(text: &str) -> String {
    let text = text.replace("&lt;", "<").replace("&gt;", ">");
    let text = text.replace("&quot;", "\"").replace("&#39;", "'");
    text.replace("&amp;", "&")
}

/// Reads well-formed HTML; every element of our pages but these is closed.
pub fn parse(html: &str) -> Vec<Node> {
    fn level(rest: &mut &str, inside: &str) -> Vec<Node> {
        let mut nodes = Vec::new();
        loop {
            let Some(start) = rest.find('<') else {
                nodes.push(Node::Text(unescaped(rest)));
                *rest = "";
                return nodes;
            };
            nodes.push(Node::Text(unescaped(&rest[..start])));
            let end = rest[start..].find('>').unwrap() + start;
            let tag = &rest[start + 1..end];
            *rest = &rest[end + 1..];
            if let Some(name) = tag.strip_prefix('/') {
                assert_eq!(name, inside, "elements are closed in their order");
                return nodes;
            }
            let name = tag.split([' ', '\n', '/']).next().unwrap().to_owned();
            let attributes = tag[name.len()..].to_owned();
            if tag.ends_with('/') || tag.starts_with('!') || name == "meta" {
                continue;
            }
            let children = match name.as_str() {
                // Not HTML inside.
                "script" | "style" => {
                    let close = format!("</{name}>");
                    let end = rest.find(&close).unwrap();
                    *rest = &rest[end + close.len()..];
                    Vec::new()
                }
                _ => level(rest, &name),
            };
            nodes.push(Node::Element {
                name,
                attributes,
                children,
            });
        }
    }
    level(&mut &html[..], "")
}
