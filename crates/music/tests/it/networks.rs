//! The networks in Rust say what training/forward.py says: a forward pass in numpy that shares nothing with it, and that says what
//! the trainer's (PyTorch) said within 0.0002.

use lanthorn_music::net::{Heard, Hindsight, Live, Weights, unpacked};
use lanthorn_music::spectrum::{BANDS, Frame};

/// Frames of a kept piece, and what was said of each.
fn kept(bytes: &[u8]) -> (Vec<Frame>, Vec<[f32; 7]>) {
    let count = bytes.len() / (BANDS + 28);
    let (frames, said) = bytes.split_at(count * BANDS);
    let frame = |bytes: &[u8]| std::array::from_fn(|band| unpacked(bytes[band]));
    let value = |bytes: &[u8]| f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]);
    let told = |bytes: &[u8]| std::array::from_fn(|column| value(&bytes[4 * column..]));
    (frames.chunks_exact(BANDS).map(frame).collect(), said.chunks_exact(28).map(told).collect())
}

fn same(heard: &[Heard], said: &[[f32; 7]]) {
    assert_eq!(heard.len(), said.len());
    let mut moved = [0.0_f32; 7];
    for (at, (heard, said)) in heard.iter().zip(said).enumerate() {
        let own = [heard.beat, heard.first, heard.kick, heard.snare, heard.hat, heard.other, heard.music];
        for (column, (own, said)) in own.iter().zip(said).enumerate() {
            assert!((own - said).abs() < 1e-3, "frame {at}, column {column}: {own} for {said}");
            moved[column] = moved[column].max(*said);
        }
    }
    assert!(moved[0] > 0.5 && moved[6] > 0.5, "the piece has something to say: {moved:?}");
}

#[test]
fn the_network_that_follows_says_what_numpy_says() {
    let (frames, said) = kept(include_bytes!("../live.check"));
    let mut net = Live::new(&Weights::read(include_bytes!("../../weights/live.weights")).unwrap()).unwrap();
    let heard: Vec<Heard> = frames.iter().map(|frame| net.hear(frame)).collect();
    same(&heard, &said);
}

#[test]
fn the_network_that_looks_back_says_what_numpy_says() {
    let (frames, said) = kept(include_bytes!("../hindsight.check"));
    let weights = Weights::read(include_bytes!("../../weights/hindsight.weights")).unwrap();
    let mut net = Hindsight::new(&weights).unwrap();
    same(&net.hear(&frames), &said);
    // A second piece begins anew.
    same(&net.hear(&frames), &said);
}
