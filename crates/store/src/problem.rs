//! What is wrong with a file: where, what, and what to do.

/// How much it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing can be made of the file until it is put right.
    Error,
    /// It was read; something in it is probably not what was meant.
    Warning,
}

/// One thing that is wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Line in the file, from 1.
    pub line: usize,
    /// Column in that line, from 1, counted in characters.
    pub column: usize,
    /// How much it matters.
    pub severity: Severity,
    /// The value's place in words: "unit 4, address".
    pub field: String,
    /// What is wrong, complete in itself, lower case, no full stop.
    pub message: String,
    /// What to do about it; may be empty.
    pub remedy: String,
}

impl Problem {
    /// The problem as one line, for a file called `name`: `NAME:LINE: message; what to do`. A warning says so.
    pub fn in_file(&self, name: &str) -> String {
        let warning = if self.severity == Severity::Warning { "warning: " } else { "" };
        let stop = if self.remedy.is_empty() { "" } else { "; " };
        format!("{name}:{}: {warning}{}{stop}{}", self.line, self.message, self.remedy)
    }

    /// Where and what, for a text that needs no name: `line LINE: message`.
    pub fn in_line(&self) -> String {
        format!("line {}: {}", self.line, self.message)
    }

    /// `true` when nothing can be made of the file until it is put right.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.in_file("line"))
    }
}
