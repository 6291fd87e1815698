//! "Did you mean …?"

/// The candidate closest to `word`, if one is close enough to be a slip of the fingers: at most a third of its letters
/// differ, and never more than three.
pub(crate) fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    const LONGEST: usize = 64; // longer words are no slips, and would cost time
    let word: Vec<char> = word.to_lowercase().chars().take(LONGEST).collect();
    let allowed = (word.len() / 3).clamp(1, 3);
    candidates
        .into_iter()
        .map(|candidate| (distance(&word, candidate, LONGEST), candidate))
        .filter(|(distance, _)| *distance <= allowed)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Letters to insert, drop, replace or swap with a neighbour to get from one word to the other
/// (Damerau's distance in its restricted form).
fn distance(a: &[char], b: &str, longest: usize) -> usize {
    let b: Vec<char> = b.to_lowercase().chars().take(longest).collect();
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let replace = above[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = replace.min(above[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_recognised_and_other_words_are_not() {
        let marks = ["top table", "speaker", "cake", "door"];
        for (slip, meant) in [
            ("ckae", Some("cake")),
            ("Speeker", Some("speaker")),
            ("top tabel", Some("top table")),
            ("dor", Some("door")),
            ("stage", None),
            ("", None),
        ] {
            assert_eq!(nearest(slip, marks), meant, "{slip}");
        }
    }
}
