//! The program from outside, as a person runs it.

#![expect(clippy::unwrap_used, reason = "the helpers of a test fail like the test")]

mod calc_motors;
mod carry;
mod change;
mod desk;
mod fences;
mod flash_meter;
mod flashes;
mod golden;
mod groups;
mod history;
mod interchange;
mod listen;
mod music;
mod pairing;
mod profiles;
mod resume;
mod score;
mod setup;
mod sheets;
mod sighting;
mod socket;
mod starter;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

/// Runs `lanthorn` in a folder, with a state folder of its own.
fn lanthorn(folder: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lanthorn"))
        .args(words)
        .current_dir(folder)
        .env("XDG_STATE_HOME", folder.join("state"))
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn a_new_show_opens_and_is_never_replaced() {
    let folder = tempfile::tempdir().unwrap();
    for from in ["small", "demo"] {
        let name = format!("{from} dance");
        let made = lanthorn(folder.path(), &["new", &name, "--from", from]);
        assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
        let path = folder.path().join(format!("{name}.show.toml"));
        let before = std::fs::read_to_string(&path).unwrap();
        for words in [["check", &name], ["plan", &name]] {
            let done = lanthorn(folder.path(), &words);
            assert_eq!(
                done.status.code(),
                Some(0),
                "{words:?}: {}{}",
                text(&done.stdout),
                text(&done.stderr)
            );
        }
        let again = lanthorn(folder.path(), &["new", &name]);
        assert_eq!(again.status.code(), Some(2));
        assert!(text(&again.stderr).contains("there is a file already"), "{}", text(&again.stderr));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    }
}

#[test]
fn what_is_wrong_is_said_with_file_and_line_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let show = |extra: &str| {
        format!(
            "lanthorn = 1\n[show]\nname = \"x\"\n[room]\nname = \"hall\"\nx = [-5, 5]\ny = [-8, 3]\nheight = \"4 m\"\n\
             [[room.place]]\nname = \"bar\"\nkind = \"bar\"\nmiddle = [0, 0, 3]\nlength = \"4 m\"\n{extra}"
        )
    };
    let unit =
        "[[unit]]\nnumber = 1\nprofile = \"small wash head\"\nmode = \"14 channels\"\nplace = \"bar\"\n";
    for (name, content, line, words) in [
        ("cut", show("[[unit]]\nnumber = "), ":15:", ""),
        (
            "unit",
            show("").replace("\"4 m\"\n[[", "\"4 kg\"\n[["),
            ":8:",
            "a length needs m, cm, mm, ft or in",
        ),
        ("address", show(&format!("{unit}address = \"1.505\"\n")), ":19:", "499"),
        ("nan", show("").replace("[-5, 5]", "[nan, 5]"), ":6:", ""),
        ("mark", show(&format!("{unit}focus = \"cake\"\n")), ":19:", "cake"),
    ] {
        let file = format!("{name}.show.toml");
        std::fs::write(folder.path().join(&file), &content).unwrap();
        for command in [vec!["check", &file], vec!["plan", &file], vec!["frames", &file, "--at", "1"]] {
            let done = lanthorn(folder.path(), &command);
            let said = text(&done.stderr);
            assert_eq!(done.status.code(), Some(2), "{command:?}: {said}");
            assert!(said.contains(&format!("{file}{line}")) && said.contains(words), "{command:?}: {said}");
            assert_eq!(text(&done.stdout), "", "{command:?}");
        }
        assert_eq!(std::fs::read_to_string(folder.path().join(&file)).unwrap(), content);
    }
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 5, "nothing else was written");
}

#[test]
fn no_lit_move_of_the_demo_asks_too_much_of_its_motors() {
    let folder = tempfile::tempdir().unwrap();
    for (name, turns_over) in [("demo", true), ("barn", false)] {
        let done = lanthorn(folder.path(), &["check", name, "--all"]);
        assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
        let said = text(&done.stdout);
        let moves: Vec<&str> = said.lines().filter(|line| line.contains("while lit")).collect();
        assert!(moves.iter().all(|line| line.starts_with("for your information: ")), "{moves:#?}");
        assert!(!said.contains("stop of pan"), "{moves:#?}");
        let turns =
            moves.iter().any(|line| line.contains("turn over while lit, for") && line.contains(" m off it"));
        assert_eq!(turns, turns_over, "what needs no change is told as well: {said}");
    }
}

#[test]
fn the_command_line_says_what_it_wants() {
    let folder = tempfile::tempdir().unwrap();
    for (words, status, said) in [
        (&["open", "nowhere"][..], 2, "nowhere"),
        (&["open", "demo", "--sacn", "somewhere"], 2, "10.0.0.7"),
        (&["open", "demo", "--sacn", "multicast", "--interface", "192.0.2.99"], 2, "192.0.2.99"),
        (&["open", "demo", "--start", "no such look"], 2, "no look or chase of that name"),
        (&["open", "demo", "--listen", "0.0.0.0:0"], 2, "--lan"),
        (&["open", "demo", "--listen", "192.0.2.1:7411"], 2, "served to this machine alone"),
        (&["open", "demo", "--lan", "--no-page"], 2, "--no-page"),
        (&["open", "demo", "--everyone-pairs"], 2, "--lan"),
        (&["frames", "demo"], 2, "--at"),
        (&["frames", "demo", "--from", "2", "--to", "1"], 2, "--to must not lie before --from"),
        (&["frames", "demo", "--at", "soon"], 2, "is no time"),
        (&["juggle"], 2, "juggle"),
    ] {
        let done = lanthorn(folder.path(), words);
        let heard = text(&done.stderr);
        assert_eq!(done.status.code(), Some(status), "{words:?}: {heard}");
        assert!(heard.contains(said), "{words:?}: {heard}");
    }
}

/// A running show that is ended when the test is.
pub(crate) struct Running(std::process::Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn the_demo_serves_its_page_and_ends_when_told() {
    let folder = tempfile::tempdir().unwrap();
    let mut running = Running(
        Command::new(env!("CARGO_BIN_EXE_lanthorn"))
            .args(["open", "demo", "--listen", "127.0.0.1:0"])
            .env("XDG_STATE_HOME", folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap(),
    );
    let mut said = BufReader::new(running.0.stdout.take().unwrap()).lines().map(Result::unwrap);
    let address =
        said.find_map(|line| Some(line.split_once("http://")?.1.trim_end_matches('/').to_owned())).unwrap();

    let page = get(&address, "/");
    assert!(page.starts_with("HTTP/1.1 200") && page.contains("app.js"), "{page}");
    assert!(get(&address, "/app.js").contains("text/javascript"));
    assert!(get(&address, "/nothing").starts_with("HTTP/1.1 404"));
    assert!(get(&address, "/live").starts_with("HTTP/1.1 4"), "a socket wants an upgrade");

    let told = Command::new("kill").args(["-INT", &running.0.id().to_string()]).status().unwrap();
    assert!(told.success());
    assert!(running.0.wait().unwrap().success());
    assert!(said.any(|line| line.contains("ended")));
}

fn get(address: &str, path: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).unwrap();
    text(&answer)
}
