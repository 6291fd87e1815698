//! Where in its form the music stands: plain data.

/// What goes on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Phase {
    /// All that plays plays, or nothing else is known.
    #[default]
    Full,
    /// The kick and what is low have gone.
    Breakdown,
    /// They have gone, and it rises towards their return.
    Build,
}

/// Where in its form the music stands.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shape {
    /// What goes on.
    pub phase: Phase,
    /// How much goes on, against what this music had so far: 0 nothing, 1 as much as ever. It moves within a bar or two.
    pub energy: f32,
    /// Bars since the last phrase line, from 0.
    pub phrase_bar: u8,
    /// Phrase lines so far.
    pub phrases: u32,
    /// When the last drop was, seconds of sound since the first sample; none before the first.
    pub drop_at: Option<f64>,
    /// When the last line of the form was (phrase, section, breakdown, drop or lift), in the same seconds.
    pub line_at: Option<f64>,
}
