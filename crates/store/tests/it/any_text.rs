//! Whatever the text: an answer, quickly, and never a panic.

use lanthorn_store::{DEMO_TEXT, read_profile, read_show};
use proptest::prelude::*;

const PROFILE: &str = include_str!("../../profiles/small-spot-head.toml");

/// A show or problems that stand inside the text.
fn answered(text: &str) {
    let lines = text.split('\n').count();
    let (file, problems) = read_show(text);
    assert_eq!(file.is_none(), problems.iter().any(|problem| problem.is_error()));
    for problem in problems {
        assert!((1..=lines).contains(&problem.line), "line {} of {lines}: {problem}", problem.line);
        assert!(problem.column >= 1 && !problem.message.is_empty());
    }
    let (profile, problems) = read_profile(text);
    assert_eq!(profile.is_none(), problems.iter().any(|problem| problem.is_error()));
}

/// The largest place at or below `at` where a text can be cut.
fn cut(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

#[test]
fn the_demo_cut_anywhere_is_answered() {
    for at in (0..DEMO_TEXT.len()).step_by(97) {
        answered(&DEMO_TEXT[..cut(DEMO_TEXT, at)]);
    }
}

#[test]
fn a_cut_inside_a_value_is_said_at_the_last_line() {
    let at = DEMO_TEXT.find("[0.5, 0.3, 1.7]").unwrap() + 6;
    let text = &DEMO_TEXT[..at];
    let (file, problems) = read_show(text);
    assert_eq!(file, None);
    assert_eq!(problems.len(), 1);
    assert_eq!(problems[0].line, text.lines().count());
    assert!(problems[0].message.starts_with("the file ends in the middle of something"), "{}", problems[0]);
}

#[test]
fn enormous_files_are_refused_at_once() {
    let said = |text: &str| {
        let (file, problems) = read_show(text);
        assert_eq!((file.is_none(), problems.len()), (true, 1));
        problems[0].in_file("s")
    };
    assert_eq!(
        said(&"[[unit]]\n".repeat(1_000_000)),
        "s:200001: a show file has at most 200000 lines, and this is one more; split the show in two"
    );
    assert_eq!(
        said(&format!("lanthorn = 1\n# {}", "x".repeat(16 << 20))),
        "s:2: the file has 16777231 bytes; a show file has at most 16777216 (16 MiB); split the show in two"
    );
}

#[test]
fn nesting_has_an_end() {
    for text in [
        format!("{}1 = 2", "a.".repeat(100_000)),
        format!("[{}a]", "a.".repeat(100_000)),
        format!("a = {}", "[".repeat(100_000)),
        format!("a = {}", "{ a = ".repeat(100_000)),
        format!("a = {}1{}", "[".repeat(60), "]".repeat(60)),
        format!("{}1 = 2", "a.".repeat(60)),
    ] {
        answered(&text);
    }
}

#[test]
fn many_problems_are_counted_and_many_lights_refused() {
    let base = include_str!("shows/base.show.toml");
    let (file, problems) =
        read_show(&format!("{base}\n[[room.mark]]\n{}", "[[swatch]]\nx = 1\n".repeat(60_000)));
    assert!(file.is_none());
    assert_eq!(problems.len(), 201);
    let last = problems.last().unwrap();
    assert!(last.message.ends_with("more problems are not shown"), "{last}");
    let one = "[[unit]]\nnumber = 3\nprofile = \"RGB par\"\nplace = \"bar\"\n";
    let (_, problems) = read_show(&format!("{base}\n{}", one.repeat(4097)));
    assert_eq!(problems[0].message, "unit: a show has at most 4096 lights");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_answered(text in any::<String>()) {
        answered(&text);
    }

    #[test]
    fn words_of_the_format_in_any_order_are_answered(words in prop::collection::vec(prop::sample::select(vec![
        "lanthorn = 1\n", "[show]\n", "[room]\n", "[[room.mark]]\n", "[[unit]]\n", "[[look]]\n", "[[look.part]]\n",
        "[[chase]]\n", "[[cue]]\n", "[[score]]\n", "[[score.part]]\n", "bars = [1, 2]\n", "[[profile]]\n", "[[profile.mode]]\n", "[[sight]]\n", "[[found]]\n", "unit = ", "pan = ", "name = ", "number = ", "numbers = ",
        "at = ", "values = ", "ranges = ", "x = ", "\"1-4\"\n", "[1, 2]\n", "nan\n", "-9223372036854775808\n", "1e308\n",
        "\"1e999 m\"\n", "{ guessed = 3 }\n", "[[1, 2, 3], \"cake\"]\n", "address = ", "\"1.512\"\n", "1979-05-27\n",
    ]), 0..60)) {
        answered(&words.concat());
    }

    #[test]
    fn a_changed_demo_is_answered(at in 0..DEMO_TEXT.len(), gone in 0..40_usize, put in ".{0,8}") {
        let from = cut(DEMO_TEXT, at);
        let to = cut(DEMO_TEXT, at + gone);
        answered(&format!("{}{put}{}", &DEMO_TEXT[..from], &DEMO_TEXT[to..]));
    }

    #[test]
    fn a_changed_profile_is_answered(at in 0..PROFILE.len(), gone in 0..40_usize, put in ".{0,8}") {
        let from = cut(PROFILE, at);
        let to = cut(PROFILE, at + gone);
        answered(&format!("{}{put}{}", &PROFILE[..from], &PROFILE[to..]));
    }
}
