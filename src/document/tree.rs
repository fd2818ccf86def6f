//! The places in the text of a file: which bytes each field has. No values, no types; a text that is no Rusty
//! Object Notation has no tree.

/// Depth at which a text is no toy's.
const DEEPEST: usize = 160;

/// One value in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Node<'a> {
    /// First byte.
    pub from: usize,
    /// Byte after the last.
    pub to: usize,
    /// Name before the bracket, as `Floor` in `Floor(…)`; empty where there is none.
    pub name: &'a str,
    /// What is inside.
    pub inside: Inside<'a>,
}

/// What is inside a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Inside<'a> {
    /// Nothing to look into: a number, a text, a word, a map.
    Leaf,
    /// Values without names, of a list or tuple.
    Items(Vec<Node<'a>>),
    /// Fields.
    Fields(Vec<Field<'a>>),
}

/// A named value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field<'a> {
    /// First byte of its name.
    pub from: usize,
    /// Its name.
    pub name: &'a str,
    /// Its value.
    pub value: Node<'a>,
}

/// The tree of a text; `None` where the text is not one whole value.
pub fn tree(text: &str) -> Option<Node<'_>> {
    let mut reader = Reader { text, at: 0 };
    reader.gap();
    while reader.rest().starts_with("#![") {
        reader.at += text[reader.at..].find(']')? + 1;
        reader.gap();
    }
    let node = reader.value(0)?;
    reader.gap();
    reader.rest().is_empty().then_some(node)
}

/// Line and column in characters of a byte, both from 1.
pub fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    (before.matches('\n').count() + 1, before[start..].chars().count() + 1)
}

impl<'a> Node<'a> {
    /// The field or item of this name or number.
    fn step(&self, step: &str) -> Option<&Node<'a>> {
        match &self.inside {
            Inside::Fields(fields) => fields.iter().find(|f| f.plain_name() == step).map(|f| &f.value),
            Inside::Items(items) => match (step.parse::<usize>(), items.as_slice()) {
                (Ok(index), _) if self.name.is_empty() => items.get(index),
                // `Some(x)` and `Surface(x)`: the value is what is in the bracket.
                (_, [only]) if !self.name.is_empty() => only.step(step),
                _ => None,
            },
            Inside::Leaf => None,
        }
    }

    /// The value itself where it is the only one in a named bracket, as `x` in `Some(x)`.
    fn unwrapped(&self) -> &Node<'a> {
        match &self.inside {
            Inside::Items(items) if !self.name.is_empty() && items.len() == 1 => items[0].unwrapped(),
            _ => self,
        }
    }

    /// The value at the end of a path of names and numbers with dots between.
    pub fn find(&self, path: &str) -> Option<&Node<'a>> {
        let steps = path.split('.').filter(|s| !s.is_empty());
        steps.into_iter().try_fold(self, Node::step).map(Node::unwrapped)
    }

    /// The value at the end of a path, or the last on the way that is there.
    pub fn nearest(&self, path: &str) -> &Node<'a> {
        let mut at = self;
        for step in path.split('.').filter(|s| !s.is_empty()) {
            match at.step(step) {
                Some(next) => at = next,
                None => break,
            }
        }
        at
    }

    /// First byte of the first field of this name, however deep.
    pub fn place_of(&self, name: &str) -> Option<usize> {
        match &self.inside {
            Inside::Fields(fields) => {
                fields.iter().find_map(|f| if f.plain_name() == name { Some(f.from) } else { f.value.place_of(name) })
            }
            Inside::Items(items) => items.iter().find_map(|n| n.place_of(name)),
            Inside::Leaf => None,
        }
    }

    /// The fields of this value.
    pub fn fields(&self) -> &[Field<'a>] {
        match &self.inside {
            Inside::Fields(fields) => fields,
            Inside::Leaf | Inside::Items(_) => &[],
        }
    }
}

impl Field<'_> {
    /// The name without the mark of a raw one.
    pub fn plain_name(&self) -> &str {
        self.name.strip_prefix("r#").unwrap_or(self.name)
    }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn take(&mut self, what: &str) -> Option<()> {
        self.rest().starts_with(what).then(|| self.at += what.len())
    }

    /// Steps over blanks and comments.
    fn gap(&mut self) {
        loop {
            let rest = self.rest();
            let trimmed = rest.trim_start();
            self.at += rest.len() - trimmed.len();
            if trimmed.starts_with("//") {
                self.at += trimmed.find('\n').unwrap_or(trimmed.len());
            } else if trimmed.starts_with("/*") {
                self.at += comment(trimmed);
            } else {
                return;
            }
        }
    }

    /// A word: a name or a number.
    fn word(&mut self) -> &'a str {
        let rest = self.rest();
        let ends = |c: char| !(c.is_alphanumeric() || matches!(c, '_' | '.' | '+' | '-' | '#'));
        let word = &rest[..rest.find(ends).unwrap_or(rest.len())];
        self.at += word.len();
        word
    }

    fn value(&mut self, depth: usize) -> Option<Node<'a>> {
        if depth > DEEPEST {
            return None;
        }
        let from = self.at;
        let leaf = |to: usize, name| Some(Node { from, to, name, inside: Inside::Leaf });
        if let Some(length) = text_length(self.rest()) {
            self.at += length;
            return leaf(self.at, "");
        }
        match self.rest().chars().next()? {
            '[' => {
                self.at += 1;
                let inside = self.items(']', depth)?;
                Some(Node { from, to: self.at, name: "", inside })
            }
            '{' => {
                self.at += 1;
                self.map(depth)?;
                leaf(self.at, "")
            }
            '(' => {
                let inside = self.bracket(depth)?;
                Some(Node { from, to: self.at, name: "", inside })
            }
            _ => {
                let name = self.word();
                let to = self.at;
                if name.is_empty() {
                    return None;
                }
                self.gap();
                if self.rest().starts_with('(') {
                    let inside = self.bracket(depth)?;
                    return Some(Node { from, to: self.at, name, inside });
                }
                self.at = to;
                leaf(to, name)
            }
        }
    }

    /// A round bracket: fields where its first word is followed by a colon, else items.
    fn bracket(&mut self, depth: usize) -> Option<Inside<'a>> {
        self.take("(")?;
        self.gap();
        let start = self.at;
        let named = text_length(self.rest()).is_none() && !self.word().is_empty() && {
            self.gap();
            self.rest().starts_with(':')
        };
        self.at = start;
        if !named {
            return self.items(')', depth);
        }
        let mut fields = Vec::new();
        loop {
            self.gap();
            if self.take(")").is_some() {
                return Some(Inside::Fields(fields));
            }
            let from = self.at;
            let name = self.word();
            if name.is_empty() {
                return None;
            }
            self.gap();
            self.take(":")?;
            self.gap();
            let value = self.value(depth + 1)?;
            fields.push(Field { from, name, value });
            self.comma(")")?;
        }
    }

    fn items(&mut self, end: char, depth: usize) -> Option<Inside<'a>> {
        let end = if end == ')' { ")" } else { "]" };
        let mut items = Vec::new();
        loop {
            self.gap();
            if self.take(end).is_some() {
                return Some(Inside::Items(items));
            }
            items.push(self.value(depth + 1)?);
            self.comma(end)?;
        }
    }

    fn map(&mut self, depth: usize) -> Option<()> {
        loop {
            self.gap();
            if self.take("}").is_some() {
                return Some(());
            }
            self.value(depth + 1)?;
            self.gap();
            self.take(":")?;
            self.gap();
            self.value(depth + 1)?;
            self.comma("}")?;
        }
    }

    /// A comma, or the end that is left for the caller.
    fn comma(&mut self, end: &str) -> Option<()> {
        self.gap();
        if self.rest().starts_with(end) { Some(()) } else { self.take(",") }
    }
}

/// Length of a comment in `/* */`, one in the other; all of the text where it does not end.
fn comment(text: &str) -> usize {
    let bytes = text.as_bytes();
    let (mut at, mut depth) = (0, 0);
    while at + 1 < bytes.len() {
        match &bytes[at..at + 2] {
            b"/*" => (at, depth) = (at + 2, depth + 1),
            b"*/" => (at, depth) = (at + 2, depth - 1),
            _ => at += 1,
        }
        if depth == 0 {
            return at;
        }
    }
    text.len()
}

/// Length of the text in quotes that begins here: `"…"`, `r#"…"#`, `'…'`, each perhaps with a `b` before.
fn text_length(rest: &str) -> Option<usize> {
    let plain = rest.strip_prefix('b').unwrap_or(rest);
    let mark = rest.len() - plain.len();
    if let Some(raw) = plain.strip_prefix('r') {
        let hashes = raw.len() - raw.trim_start_matches('#').len();
        let inside = raw[hashes..].strip_prefix('"')?;
        let end = format!("\"{}", "#".repeat(hashes));
        return Some(mark + 1 + hashes + 1 + inside.find(&end)? + end.len());
    }
    let quote = plain.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    let mut escaped = false;
    for (i, c) in plain.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            _ if c == quote => return Some(mark + i + 1),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_value_has_its_bytes() {
        let text = "#![enable(implicit_some)]\n// first\n(a: 1, /* b: 2 /* in */ */ c: Some((d: \"x)\\\"\", e: r#\"y\"z\"#)),\n f: [Floor(down: Start, x_mm: -1.5e3), Beside], g: {\"k\": 'v', 2: (1, 2)}, h: '\\'',)\n";
        let root = tree(text).expect("a whole value");
        let names: Vec<&str> = root.fields().iter().map(|f| f.name).collect();
        assert_eq!(names, ["a", "c", "f", "g", "h"]);
        let of = |path: &str| root.find(path).map(|n| &text[n.from..n.to]);
        assert_eq!(of("c.d"), Some("\"x)\\\"\""));
        assert_eq!(of("c.e"), Some("r#\"y\"z\"#"));
        assert_eq!(of("f.0.x_mm"), Some("-1.5e3"));
        assert_eq!(of("f.1"), Some("Beside"));
        assert_eq!(of("g"), Some("{\"k\": 'v', 2: (1, 2)}"));
        assert_eq!(of("f.0.y_mm"), None);
        assert_eq!(root.nearest("f.0.y_mm").name, "Floor");
        assert_eq!(line_and_column(text, root.fields()[2].from), (4, 2));
    }

    #[test]
    fn what_is_not_whole_has_no_tree() {
        for text in ["", "(", "(a: )", "(a: 1", "(a 1)", "(a: \"x)", "(a: 1) b", &"(".repeat(100_000)] {
            assert_eq!(tree(text), None, "{}", &text[..text.len().min(20)]);
        }
    }
}
