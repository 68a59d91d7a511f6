//! A small document: what a hover, an explanation or a summary says, apart from how it is shown.
//!
//! Titles, names and notes come from somebody's file and are never trusted: Markdown escapes them,
//! and both forms drop control characters, which could steer a terminal or turn a line around.

use std::fmt::Write as _;

/// A document.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Doc {
    /// Its blocks, from the top.
    pub blocks: Vec<Block>,
}

/// A block of a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Block {
    /// A heading.
    Heading(Line),
    /// A paragraph.
    Paragraph(Line),
    /// An unnumbered list.
    List(Vec<Line>),
    /// A table; columns after the first are figures and stand to the right.
    Table(Table),
    /// Lines of a plan.
    Code(String),
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// The heads of its columns.
    pub head: Vec<String>,
    /// Its rows, each as long as the head.
    pub rows: Vec<Vec<Line>>,
}

/// Words in a row, some of them set apart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// Its pieces.
    pub pieces: Vec<Piece>,
}

/// A piece of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// Plain words.
    Text(String),
    /// Words as they stand in a plan.
    Code(String),
    /// What the eye should find.
    Strong(String),
}

impl Line {
    /// The line with plain words added.
    #[must_use]
    pub fn text(mut self, words: impl Into<String>) -> Self {
        self.pieces.push(Piece::Text(words.into()));
        self
    }

    /// The line with words of a plan added.
    #[must_use]
    pub fn code(mut self, words: impl Into<String>) -> Self {
        self.pieces.push(Piece::Code(words.into()));
        self
    }

    /// The line with strong words added.
    #[must_use]
    pub fn strong(mut self, words: impl Into<String>) -> Self {
        self.pieces.push(Piece::Strong(words.into()));
        self
    }

    fn plain(&self) -> String {
        self.pieces
            .iter()
            .map(|piece| match piece {
                Piece::Text(words) | Piece::Code(words) | Piece::Strong(words) => clean(words),
            })
            .collect()
    }

    fn markdown(&self) -> String {
        let joined: String = self
            .pieces
            .iter()
            .map(|piece| match piece {
                Piece::Text(words) => prose(&clean(words)),
                Piece::Code(words) => code_span(&clean(words)),
                Piece::Strong(words) if clean(words).trim().is_empty() => String::new(),
                Piece::Strong(words) => format!("**{}**", escape(clean(words).trim())),
            })
            .collect();
        guard_start(&joined)
    }
}

impl From<&str> for Line {
    fn from(words: &str) -> Self {
        Self::default().text(words)
    }
}

impl From<String> for Line {
    fn from(words: String) -> Self {
        Self::default().text(words)
    }
}

impl Table {
    /// An empty table with these heads.
    pub fn new(head: &[&str]) -> Self {
        Self {
            head: head.iter().map(|&head| head.to_owned()).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row; one too short is filled up, one too long cut.
    pub fn row(&mut self, cells: impl IntoIterator<Item = Line>) {
        let mut row: Vec<Line> = cells.into_iter().take(self.head.len()).collect();
        row.resize_with(self.head.len(), Line::default);
        self.rows.push(row);
    }
}

impl Doc {
    /// Adds a heading.
    pub fn heading(&mut self, line: impl Into<Line>) {
        self.blocks.push(Block::Heading(line.into()));
    }

    /// Adds a paragraph; nothing for an empty one.
    pub fn say(&mut self, line: impl Into<Line>) {
        let line = line.into();
        if !line.plain().trim().is_empty() {
            self.blocks.push(Block::Paragraph(line));
        }
    }

    /// Adds a list; nothing for an empty one.
    pub fn list(&mut self, lines: Vec<Line>) {
        if !lines.is_empty() {
            self.blocks.push(Block::List(lines));
        }
    }

    /// Adds a table; nothing for one without rows.
    pub fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table(table));
        }
    }

    /// Adds lines of a plan.
    pub fn code(&mut self, lines: impl Into<String>) {
        self.blocks.push(Block::Code(lines.into()));
    }

    /// Adds another document below.
    pub fn join(&mut self, other: Self) {
        self.blocks.extend(other.blocks);
    }

    /// Whether it says nothing.
    pub const fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }

    /// As Markdown.
    pub fn markdown(&self) -> String {
        let blocks: Vec<String> = self.blocks.iter().map(Block::markdown).collect();
        blocks.join("\n\n")
    }

    /// As plain text for a terminal.
    pub fn plain(&self) -> String {
        let blocks: Vec<String> = self.blocks.iter().map(Block::plain).collect();
        blocks.join("\n\n")
    }
}

impl Block {
    fn markdown(&self) -> String {
        match self {
            Self::Heading(line) => format!("### {}", line.markdown()),
            Self::Paragraph(line) => line.markdown(),
            Self::List(lines) => {
                let items: Vec<String> = lines
                    .iter()
                    .map(|line| format!("- {}", line.markdown()))
                    .collect();
                items.join("\n")
            }
            Self::Table(table) => table.markdown(),
            Self::Code(lines) => fenced(lines),
        }
    }

    fn plain(&self) -> String {
        match self {
            Self::Heading(line) | Self::Paragraph(line) => line.plain(),
            Self::List(lines) => {
                let items: Vec<String> = lines
                    .iter()
                    .map(|line| format!("- {}", line.plain()))
                    .collect();
                items.join("\n")
            }
            Self::Table(table) => table.plain(),
            Self::Code(lines) => {
                let lines: Vec<String> = lines
                    .lines()
                    .map(|line| format!("    {}", clean(line)))
                    .collect();
                lines.join("\n")
            }
        }
    }
}

impl Table {
    fn markdown(&self) -> String {
        let row = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
        let rule = (0..self.head.len()).map(|column| if column == 0 { ":--" } else { "--:" });
        let mut lines = vec![
            row(self.head.iter().map(|head| escape(head)).collect()),
            row(rule.map(str::to_owned).collect()),
        ];
        lines.extend(
            self.rows
                .iter()
                .map(|cells| row(cells.iter().map(Line::markdown).collect())),
        );
        lines.join("\n")
    }

    fn plain(&self) -> String {
        let rows: Vec<Vec<String>> = std::iter::once(self.head.clone())
            .chain(
                self.rows
                    .iter()
                    .map(|row| row.iter().map(Line::plain).collect()),
            )
            .collect();
        let widths: Vec<usize> = (0..self.head.len())
            .map(|column| {
                rows.iter()
                    .map(|row| row[column].chars().count())
                    .max()
                    .unwrap_or(0)
            })
            .collect();
        let lines: Vec<String> = rows.iter().map(|row| aligned(row, &widths)).collect();
        lines.join("\n")
    }
}

/// The first column to the left, figures to the right.
fn aligned(row: &[String], widths: &[usize]) -> String {
    let mut line = String::new();
    for (column, (cell, &width)) in row.iter().zip(widths).enumerate() {
        // Writing to a string cannot fail.
        let _ = if column == 0 {
            write!(line, "{cell:<width$}")
        } else {
            write!(line, "  {cell:>width$}")
        };
    }
    line.trim_end().to_owned()
}

/// Words on one line without what no reader sees: control characters and marks that turn text round.
fn clean(words: &str) -> String {
    let unseen = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    words
        .chars()
        .filter(|&c| !unseen(c))
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

/// Words in which nothing is Markdown but what stands between pairs of ticks, which is code.
fn prose(words: &str) -> String {
    let parts: Vec<&str> = words.split('`').collect();
    let inner = parts.get(1..parts.len() - 1).unwrap_or_default();
    if parts.len().is_multiple_of(2) || inner.iter().any(|part| part.trim().is_empty()) {
        return escape(words);
    }
    let part = |(index, part): (usize, &&str)| match index % 2 {
        0 => escape(part),
        _ => code_span(part),
    };
    parts.iter().enumerate().map(part).collect()
}

/// Words in which nothing is Markdown.
fn escape(words: &str) -> String {
    let mut out = String::with_capacity(words.len() + 8);
    for (at, c) in words.char_indices() {
        // What would become a link by itself: an address with its scheme, or one that begins `www.`.
        let links = (c == ':' && words[at..].starts_with("://"))
            || (c == '.' && words[..at].to_ascii_lowercase().ends_with("www"));
        if links
            || matches!(
                c,
                '\\' | '`'
                    | '*'
                    | '_'
                    | '{'
                    | '}'
                    | '['
                    | ']'
                    | '<'
                    | '>'
                    | '#'
                    | '|'
                    | '~'
                    | '!'
                    | '&'
                    | '@'
                    | '$'
            )
        {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// A line whose beginning is no list, heading or rule.
fn guard_start(line: &str) -> String {
    let line = line.trim_start();
    let digits = line.chars().take_while(char::is_ascii_digit).count();
    let numbered = digits > 0
        && matches!(line.as_bytes().get(digits), Some(b'.' | b')'))
        && !line
            .as_bytes()
            .get(digits + 1)
            .is_some_and(u8::is_ascii_digit);
    match line.chars().next() {
        Some('+' | '-' | '=') => format!("\\{line}"),
        _ if numbered => format!("{}\\{}", &line[..digits], &line[digits..]),
        _ => line.to_owned(),
    }
}

fn longest_run_of_ticks(text: &str) -> usize {
    text.split(|c| c != '`').map(str::len).max().unwrap_or(0)
}

/// Words as code. A bar would end a table's cell even here.
fn code_span(words: &str) -> String {
    if words.trim().is_empty() {
        return String::new();
    }
    let ticks = "`".repeat(longest_run_of_ticks(words) + 1);
    let pad = if words.starts_with('`') || words.ends_with('`') {
        " "
    } else {
        ""
    };
    format!("{ticks}{pad}{}{pad}{ticks}", words.replace('|', "\u{2758}"))
}

fn fenced(lines: &str) -> String {
    let ticks = "`".repeat(longest_run_of_ticks(lines).max(2) + 1);
    let lines: Vec<String> = lines.lines().map(clean).collect();
    format!("{ticks}boat\n{}\n{ticks}", lines.join("\n"))
}

#[cfg(test)]
mod tests {
    use expect_test::expect;

    use super::{Doc, Line, Table};

    fn sample() -> Doc {
        let mut doc = Doc::default();
        doc.heading(
            Line::default()
                .strong("fresh-pump")
                .text(" \"<b>Pump</b>\""),
        );
        doc.say("1. see http://example.org, www.example.org and [me](x) *now*\u{1b}[31m\u{202e}");
        let mut table = Table::new(&["step", "left"]);
        table.row([Line::default().code("a|b`c"), "11.4 V".into()]);
        table.row(["- x".into()]);
        doc.table(table);
        doc.list(vec!["8.2 A".into()]);
        doc.code("run a\n```\n");
        doc
    }

    #[test]
    fn markdown_of_untrusted_words_is_only_words() {
        expect![[r#"
            ### **fresh-pump** "\<b\>Pump\</b\>"

            1\. see http\://example.org, www\.example.org and \[me\](x) \*now\* \[31m

            | step | left |
            | :-- | --: |
            | ``a❘b`c`` | 11.4 V |
            | \- x |  |

            - 8.2 A

            ````boat
            run a
            ```
            ````"#]]
        .assert_eq(&sample().markdown());
    }

    #[test]
    fn pairs_of_ticks_are_code_and_others_only_ticks() {
        let markdown = |words: &str| {
            let mut doc = Doc::default();
            doc.say(words);
            doc.markdown()
        };
        assert_eq!(
            markdown("where `back` lands *here*"),
            r"where `back` lands \*here\*"
        );
        assert_eq!(markdown("`a*b`"), "`a*b`");
        assert_eq!(markdown("one ` tick *"), r"one \` tick \*");
        assert_eq!(markdown("``a`` <b>"), r"\`\`a\`\` \<b\>");
        assert_eq!(markdown("`a` ` `<b>`"), r"\`a\` \` \`\<b\>\`");
        assert_eq!(markdown("`a``b`"), r"\`a\`\`b\`");
    }

    #[test]
    fn plain_text_is_aligned() {
        expect![[r#"
            fresh-pump "<b>Pump</b>"

            1. see http://example.org, www.example.org and [me](x) *now* [31m

            step     left
            a|b`c  11.4 V
            - x

            - 8.2 A

                run a
                ```"#]]
        .assert_eq(&sample().plain());
    }

    #[test]
    fn nothing_said_is_nothing_shown() {
        let mut doc = Doc::default();
        doc.say("");
        doc.list(Vec::new());
        doc.table(Table::new(&["a"]));
        assert!(doc.is_empty());
    }
}
