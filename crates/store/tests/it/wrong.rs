//! Every message in full: what a person sees is what is asserted.

use std::fmt::Write;

use lanthorn_store::read_show;

const BASE: &str = include_str!("shows/base.show.toml");

/// What is said about the small show once `from` reads `to`.
fn said(from: &str, to: &str) -> Vec<String> {
    assert!(BASE.contains(from), "{from}");
    said_of(&BASE.replacen(from, to, 1))
}

fn said_of(text: &str) -> Vec<String> {
    let (file, problems) = read_show(text);
    assert_eq!(file.is_none(), problems.iter().any(|problem| problem.is_error()), "{problems:?}");
    problems.iter().map(|problem| problem.in_file("s")).collect()
}

#[test]
fn print_all() {
    for (from, to) in [
        ("\"4 m\"\n\n[[room.mark", "\"3 kg\"\n\n[[room.mark"),
        ("height = \"4 m\"", "height = nan"),
        ("height = \"4 m\"", "height = inf"),
        ("height = \"4 m\"", "height = \"4,5 m\""),
        ("height = \"4 m\"", "height = \"4000 m\""),
        ("height = \"4 m\"", "height = true"),
        ("height = \"4 m\"\n", ""),
        ("height =", "hieght ="),
        ("aim = \"cake\"", "aim = \"ckae\""),
        ("aim = \"cake\"", "aim = \"stage left\""),
        ("aim = \"cake\"", "aim = [1, 2]"),
        ("aim = \"cake\"", "aim = { from = [0, 0, 0] }"),
        ("\"1.001\"", "\"1.505\""),
        ("\"1.001\"", "\"1.098\""),
        ("\"1.001\"", "\"1.600\""),
        ("\"1.001\"", "\"kitchen\""),
        ("\"1.001\"", "1.001"),
        ("number = 2\nprofile", "number = 1\nprofile"),
        ("\"RGB par\"", "\"RBG par\""),
        ("\"14 channels\"", "\"13 channels\""),
        ("mode = \"14 channels\"\n", ""),
        ("circuit = \"hall\"", "circuit = \"hull\""),
        ("place = \"bar\"\nat = 1\n", "place = \"beam\"\nat = 1\n"),
        ("address = \"1.101\"", "shares = 1"),
        ("address = \"1.101\"", "shares = 9"),
        ("address = \"1.101\"", "run = \"linked\"\nleader = 1"),
        ("address = \"1.101\"", "run = \"on its own\"\nprogramme = \"slow colour\""),
        ("address = \"1.101\"", "run = \"linked\""),
        ("who = \"pair\"", "who = \"pear\""),
        ("who = [1]", "who = [7]"),
        ("who = [1]", "who = \"1-\""),
        ("units = [1, 2]", "units = [1, 2, 2]"),
        ("units = [1, 2]", "units = [1, 3]"),
        ("name = \"pair\"", "name = \"all\""),
        ("\"warm white\"", "\"warn white\""),
        ("\"warm white\"", "\"#ff88\""),
        ("\"80 %\"", "\"180 %\""),
        ("fade = \"2 s\"", "fade = \"2 m\""),
        ("steps = [\"warm\", { look = \"cold\", time = \"2 s\" }]", "steps = []"),
        ("{ look = \"cold\", time = \"2 s\" }", "\"colt\""),
        ("time = \"2 s\"", "time = \"0 s\""),
        ("time = \"2 s\"", "time = \"2 m\""),
        ("time = \"2 s\"", "time = \"2 s\", fade = \"3 s\""),
        ("name = \"cold\"", "name = \"warm\""),
        ("name = \"to and fro\"", "name = \"cold\""),
        ("chases = [\"to and fro\"]", "chases = [\"round\"]"),
        ("number = 2\nlook", "number = 0.5\nlook"),
        ("number = 2\nlook", "number = \"2a\"\nlook"),
        ("name = \"small\"", "name = \"small\"\nstart = \"wram\""),
        ("lanthorn = 1\n", ""),
        ("lanthorn = 1\n", "lanthorn = 2\n"),
        ("colour = \"warm white\"", "colour = \"warm white\"\ngobo = \"leaves\""),
        ("colour = \"warm white\"", "colour = \"warm white\"\nstrobe = \"8 Hz\""),
        ("x = [-4, 4]", "x = [4, -4]"),
        ("number = 1\nprofile", "numbers = \"1,3\"\nprofile"),
        ("breaker = \"16 A\"", "breaker = \"16 V\""),
        ("[[circuit]]", "[circuit]"),
        ("name = \"small\"", "name = \"small"),
        ("name = \"small\"", "name = small"),
        ("name = \"small\"", "name \"small\""),
        ("name = \"small\"", "name = \"small\"\nname = \"other\""),
        ("[show]", "[show"),
    ] {
        println!("--- {from:?} -> {to:?}");
        for line in said(from, to) {
            println!("{line}");
        }
    }
    for cut in [200, 431, 700, 704] {
        println!("--- cut {cut}: {:?}", said_of(&BASE[..cut]));
    }
    let mut text = String::new();
    let _ = write!(text, "{}", "\n".repeat(1_000_000));
    println!("{:?}", said_of(&text));
}
