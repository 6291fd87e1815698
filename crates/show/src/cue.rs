//! Cues: numbered moments of a show, taken in order.

use lanthorn_physics::Span;

/// A cue.
#[derive(Clone, Debug, PartialEq)]
pub struct Cue {
    /// As printed: "4", "4.5". Unique, ascending.
    pub number: String,
    /// Its name ("first dance").
    pub name: String,
    /// A note for the person ("after the toast").
    pub note: String,
    /// The look that becomes the base; none keeps it.
    pub look: Option<String>,
    /// Chases that run from now on. Those not named stop; none at all in a cue without the key keeps them.
    pub chases: Option<Vec<String>>,
    /// Fade in.
    pub fade: Span,
    /// The next cue follows by itself so long after this one was taken.
    pub follow: Option<Span>,
    /// Sets the tempo, beats a minute.
    pub tempo: Option<f64>,
}
