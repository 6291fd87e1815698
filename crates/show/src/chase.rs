//! Chases: steps with times, run round and round.

pub use lanthorn_music::pulse::Strike;
use lanthorn_physics::Span;

/// A chase.
#[derive(Clone, Debug, PartialEq)]
pub struct Chase {
    /// Its name, unique among chases.
    pub name: String,
    /// At least one.
    pub steps: Vec<Step>,
    /// In which order.
    pub order: Order,
    /// How much of the time of two steps the first has.
    pub swing: Swing,
    /// How many rounds; none runs until stopped, or once where it answers to the music.
    pub rounds: Option<u32>,
    /// Fade of the chase in when started, and out when stopped.
    pub fade: Span,
    /// Stands on its step while the show listens and hears no music (speech, silence), and goes on with it.
    pub calm: bool,
    /// While it is on it waits, and runs through its rounds from the first step each time this is heard; its first step is
    /// there at once, and between two of them its lights are as without it.
    pub at_each: Option<Strike>,
}

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The look's name. The chase drives the lights that any of its steps names, and no others.
    pub look: String,
    /// How long it lasts, fade included.
    pub time: StepTime,
    /// How much of that time is the fade into it.
    pub fade: StepTime,
}

/// A time that may follow the tempo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StepTime {
    /// Of its own.
    Time(Span),
    /// Beats of the tempo.
    Beats(f64),
    /// Bars of the tempo.
    Bars(f64),
}

/// A phrase is so many bars: those of the music.
pub const PHRASE_BARS: f64 = lanthorn_music::pulse::PHRASE_BARS as f64;

/// Every second step comes later than even: the share of the time of two steps that the first of them has, 0.5 (even) to
/// [`Swing::MOST`]. Two thirds is the swing of a band that plays in triplets.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Swing(pub f64);

impl Swing {
    /// Steps of one length.
    pub const EVEN: Self = Self(0.5);
    /// The second of two steps has a quarter of the time.
    pub const MOST: Self = Self(0.75);
}

impl Default for Swing {
    fn default() -> Self {
        Self::EVEN
    }
}

/// In which order the steps run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// First to last, then again.
    #[default]
    Forward,
    /// Last to first.
    Backward,
    /// To and fro, the ends once.
    ToAndFro,
    /// Random, never the same twice running; the same order in every run of the same show.
    Random,
}
