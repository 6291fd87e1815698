//! A show that ended unasked goes on where it was: the real program, killed.

use std::collections::BTreeMap;
use std::net::UdpSocket;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use serde_json::{Value, json};

use super::lanthorn;
use super::sighting::{Page, open};

/// Slots of every universe by the newest packets of sACN (E1.31: universe at 113, options at 112, slots from 126).
fn take(socket: &UdpSocket, frames: &mut BTreeMap<u16, Vec<u8>>) -> bool {
    let mut buffer = [0; 2048];
    let Ok((length, _)) = socket.recv_from(&mut buffer) else { return false };
    // Lists of universes and endings are no levels.
    if length == 638 && buffer[112] & 0x40 == 0 {
        let universe = u16::from_be_bytes([buffer[113], buffer[114]]);
        frames.insert(universe, buffer[126..638].to_vec());
    }
    true
}

fn kept(folder: &Path) -> Option<Value> {
    let files = std::fs::read_dir(folder.join("state/lanthorn/on")).ok()?;
    let file = files.flatten().find(|file| file.file_name().to_string_lossy().ends_with(".json"))?;
    serde_json::from_slice(&std::fs::read(file.path()).ok()?).ok()
}

/// The slots of every light: universe, and which of it.
type Slots = BTreeMap<u64, (u16, std::ops::Range<usize>)>;

fn still_look(page: &mut Page) -> (String, Slots) {
    // A look that nobody starts with, in which nothing runs a figure; and every light with its slots.
    page.wait("the scene", |heard| {
        let looks = heard["looks"].as_array()?;
        let still = looks.iter().skip(1).find(|look| look["paths"].as_array().is_some_and(Vec::is_empty));
        let place = |unit: &Value| {
            let (universe, first) = unit["address"].as_str()?.split_once('.')?;
            let first: usize = first.parse().ok()?;
            let end = first - 1 + usize::try_from(unit["footprint"].as_u64()?).ok()?;
            Some((unit["number"].as_u64()?, (universe.parse::<u16>().ok()?, first - 1..end)))
        };
        let slots: BTreeMap<_, _> = heard["units"].as_array()?.iter().filter_map(place).collect();
        Some((still?["name"].as_str()?.to_owned(), slots))
    })
}

#[test]
fn a_show_that_was_killed_goes_on_with_the_same_frames_and_one_that_was_ended_begins_anew() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(lanthorn(folder.path(), &["new", "dance", "--from", "demo"]).status.code(), Some(0));
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    socket.set_read_timeout(Some(Duration::from_millis(1500))).unwrap();
    let to = socket.local_addr().unwrap().to_string();
    let words = ["open", "dance", "--sacn", &to];
    let (mut running, said, address) = open(folder.path(), &words);
    assert!(!said.iter().any(|line| line.contains("goes on where it was")), "{said:?}");
    let mut page = Page::open(&address);
    let (look, slots) = still_look(&mut page);
    page.say(&json!({ "type": "look", "name": look }));
    page.say(&json!({ "type": "master", "level": 0.7 }));
    let still = |heard: &Value| {
        let now = &heard["now"];
        let lights = heard["lights"].as_array()?;
        let rest = lights.iter().all(|light| light["moving"] == false);
        let shines = |head: &Value| head["level"].as_f64().is_some_and(|level| level > 0.0);
        let lit = |light: &&Value| light["heads"].as_array().is_some_and(|heads| heads.iter().any(shines));
        let lit: Vec<u64> = lights.iter().filter(lit).filter_map(|light| light["unit"].as_u64()).collect();
        (now["look"] == look && now["fade"] == 1.0 && rest).then_some(lit)
    };
    let lit = page.wait("the look, settled", still);
    assert!(lit.len() > 2, "{lit:?}");
    // What is kept is written a little later than it is on.
    let mut before = kept(folder.path());
    loop {
        std::thread::sleep(Duration::from_secs(3));
        let now = kept(folder.path());
        if now.as_ref().is_some_and(|now| now["on"]["look"] == look) && now == before {
            break;
        }
        before = now;
    }
    let mut frames = BTreeMap::new();
    let mut newest = BTreeMap::new();
    // Until what is newest has been heard again as it was: the queue is empty then.
    socket.set_nonblocking(true).unwrap();
    while take(&socket, &mut newest) {}
    socket.set_nonblocking(false).unwrap();
    for _ in 0..8 {
        take(&socket, &mut frames);
    }
    running.0.0.kill().unwrap();
    running.0.0.wait().unwrap();
    socket.set_nonblocking(true).unwrap();
    while take(&socket, &mut newest) {}
    socket.set_nonblocking(false).unwrap();

    let (running, said, _address) = open(folder.path(), &words);
    let mut again = BTreeMap::new();
    while again.len() < frames.len() {
        assert!(take(&socket, &mut again), "frames come");
    }
    // A dark light may have kept the colour of a look before, which nobody sees.
    for unit in &lit {
        let (universe, slots) = &slots[unit];
        let [before, again] = [&frames, &again].map(|frames| &frames[universe][slots.clone()]);
        assert_eq!(again, before, "light {unit}: the very first frames");
    }
    let told = said.iter().find(|line| line.contains("goes on where it was"));
    assert!(
        told.is_some_and(|line| line.contains(&format!("\"{look}\"")) && line.contains("--fresh")),
        "{said:?}"
    );
    drop(running);
    begins_anew(folder.path());
}

fn begins_anew(folder: &Path) {
    // With another word it begins anew.
    let (mut running, said, _address) = open(folder, &["open", "dance", "--fresh"]);
    assert!(!said.iter().any(|line| line.contains("goes on where it was")), "{said:?}");
    // Ended as it should be, nothing is left to go on with.
    let told = Command::new("kill").args(["-INT", &running.0.0.id().to_string()]).status().unwrap();
    assert!(told.success());
    assert!(running.0.0.wait().unwrap().success());
    assert_eq!(kept(folder), None);
    let (_running, said, _address) = open(folder, &["open", "dance"]);
    assert!(!said.iter().any(|line| line.contains("goes on where it was")), "{said:?}");
}
