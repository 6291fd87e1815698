//! The strokes of a scored track, known beforehand: its drops from its lines, its drums by hearing the file once more while it
//! begins to play, where some chase answers to drums at all.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};

use lanthorn_music::piece::Piece;
use lanthorn_music::pulse::Strike;
use lanthorn_music::tracker::Class;
use lanthorn_physics::Span;
use lanthorn_show::Score;
use lanthorn_show::score::LineKind;

use crate::run::listen::listen;

/// Strokes of a track, each kind in order.
pub(super) struct Strokes {
    at: [Vec<Span>; Strike::ALL.len()],
    /// The drums, once they are heard.
    coming: Option<Receiver<[Vec<Span>; Strike::ALL.len()]>>,
}

impl Strokes {
    /// Of a score in a show whose file lies in `folder`; its drums too where they are wanted.
    pub(super) fn of(score: &Score, folder: Option<&Path>, drums: bool) -> Self {
        let drops = score.lines.iter().filter(|line| line.kind == LineKind::Drop);
        let mut at: [Vec<Span>; Strike::ALL.len()] = Default::default();
        at[Strike::Drop as usize] = drops.filter_map(|line| score.bar_at(line.bar)).collect();
        let path = folder.unwrap_or(Path::new("")).join(&score.file);
        Self { at, coming: drums.then(|| heard(path)).flatten() }
    }

    /// Takes the drums, if they have been heard by now.
    pub(super) fn hear(&mut self) {
        let Some(heard) = self.coming.as_ref().and_then(|coming| coming.try_recv().ok()) else { return };
        self.coming = None;
        let drums = Strike::ALL.into_iter().filter(|strike| *strike != Strike::Drop);
        let mut heard = heard;
        drums.for_each(|strike| self.at[strike as usize] = std::mem::take(&mut heard[strike as usize]));
    }

    /// The first that comes from a place on.
    pub(super) fn next(&self, strike: Strike, place: Span) -> Option<Span> {
        let all = &self.at[strike as usize];
        all.get(all.partition_point(|at| *at < place)).copied()
    }
}

/// Hears a file on a thread of its own. What cannot be heard has no drums: that it plays without them is no reason to stop.
fn heard(path: PathBuf) -> Option<Receiver<[Vec<Span>; Strike::ALL.len()]>> {
    let (give, coming) = channel();
    let hear = move || {
        if let Ok(piece) = listen(&path, false) {
            // Whoever played it may have stopped.
            let _ = give.send(drums(&piece));
        }
    };
    let thread = std::thread::Builder::new().name("lanthorn-drums".to_owned()).spawn(hear);
    thread.is_ok().then_some(coming)
}

fn drums(piece: &Piece) -> [Vec<Span>; Strike::ALL.len()] {
    let of = |class: Class| {
        let onsets = piece.onsets.iter().filter(|onset| onset.class == class);
        onsets.map(|onset| Span::from_secs(onset.at)).collect()
    };
    [of(Class::Kick), of(Class::Snare), of(Class::Hat), Vec::new()]
}

#[cfg(test)]
mod tests {
    use lanthorn_music::piece::Onset;
    use lanthorn_show::score::Line;

    use super::*;

    #[test]
    fn the_next_stroke_of_each_kind_is_known() {
        let secs = Span::from_secs;
        let line = Line { bar: 3, kind: LineKind::Drop, name: String::new(), energy: None };
        let bars = (0..6).map(|bar| secs(f64::from(bar) * 2.0)).collect();
        let score = Score { bars, lines: vec![line], ..Score::default() };
        let mut strokes = Strokes::of(&score, None, false);
        assert_eq!(strokes.next(Strike::Drop, secs(1.0)), Some(secs(4.0)));
        assert_eq!(strokes.next(Strike::Drop, secs(4.0)), Some(secs(4.0)));
        assert_eq!(strokes.next(Strike::Drop, secs(4.1)), None);
        assert_eq!(strokes.next(Strike::Kick, secs(0.0)), None);
        let piece = Piece {
            onsets: [(0.5, Class::Kick), (1.0, Class::Snare), (1.5, Class::Kick), (1.6, Class::Other)]
                .map(|(at, class)| Onset { at, class })
                .to_vec(),
            ..Piece::default()
        };
        let (give, coming) = channel();
        strokes.coming = Some(coming);
        strokes.hear();
        assert_eq!(strokes.next(Strike::Kick, secs(0.0)), None, "not heard yet");
        give.send(drums(&piece)).unwrap();
        strokes.hear();
        assert_eq!(strokes.next(Strike::Kick, secs(0.6)), Some(secs(1.5)));
        assert_eq!(strokes.next(Strike::Snare, secs(0.6)), Some(secs(1.0)));
        assert_eq!(strokes.next(Strike::Drop, secs(1.0)), Some(secs(4.0)), "drops stay");
    }

    #[test]
    fn a_file_that_is_gone_has_no_drums() {
        let coming = heard(PathBuf::from("no such file.wav")).unwrap();
        assert!(coming.recv().is_err());
    }
}
