//! Who may touch the show over the network, from outside: the real program and real sockets.
//!
//! With `--everyone-pairs` loopback stands before the door like any other address, so that this needs no network.

use std::collections::BTreeSet;
use std::io::{Read, Write};
use std::net::{IpAddr, TcpStream};
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use serde_json::{Value, json};

use super::socket::{Open, PATIENCE, Page, open};
use super::text;

const STRICT: [&str; 5] = ["open", "demo", "--lan", "--everyone-pairs", "--listen"];
const ANY_PORT: &str = "127.0.0.1:0";

/// A show behind its door, and the code that was printed.
pub(super) fn start(folder: &Path, lan: &str, listen: &str) -> (Open, String, String) {
    let mut words = STRICT.map(|word| if word == "--lan" { lan } else { word }).to_vec();
    words.push(listen);
    let (mut show, _, address) = open(folder, &words);
    let code = show
        .1
        .by_ref()
        .map(Result::unwrap)
        .find_map(|line| line.strip_prefix("code").map(|code| code.trim().to_owned()));
    (show, address, code.unwrap())
}

/// Knocks until it is admitted: the socket, and what it was told.
pub(super) fn admitted(address: &str, knock: &Value) -> (Page, Value) {
    let mut page = Page::open(address);
    page.say(knock);
    let told = page.wait("to be admitted", |heard| (heard["type"] == "admitted").then(|| heard.clone()));
    (page, told)
}

pub(super) fn pair(code: &str) -> Value {
    json!({ "type": "pair", "code": code, "name": "a phone" })
}

fn token(told: &Value) -> String {
    told["token"].as_str().unwrap().to_owned()
}

/// The next moment.
fn moment(page: &mut Page) -> Value {
    page.wait("a moment", |heard| (heard["type"] == "moment").then(|| heard.clone()))
}

fn ticks(moment: &Value) -> f64 {
    moment["link"]["ticks"].as_f64().unwrap()
}

/// What is on, apart from what runs by itself.
fn on(moment: &Value) -> Value {
    let mut now = moment["now"].clone();
    let held: Vec<Value> =
        moment["lights"].as_array().unwrap().iter().map(|light| light["held"].clone()).collect();
    now["held"] = held.into();
    for name in ["beat", "fade"] {
        now[name] = Value::Null;
    }
    now
}

fn ask(address: &str, head: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    write!(stream, "{head}Connection: close\r\n\r\n").unwrap();
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    text(&answer)
}

fn status(address: &str, path: &str, headers: &str) -> u16 {
    let answer = ask(address, &format!("GET {path} HTTP/1.1\r\nHost: {address}\r\n{headers}"));
    answer.split(' ').nth(1).unwrap_or_default().parse().unwrap_or(0)
}

/// How a request with a body is answered.
fn posted(address: &str, path: &str, headers: &str, body: &Value) -> u16 {
    let (mut stream, body) = (TcpStream::connect(address).unwrap(), body.to_string());
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    let head =
        format!("POST {path} HTTP/1.1\r\nHost: {address}\r\n{headers}Content-Length: {}\r\n", body.len());
    write!(stream, "{head}Connection: close\r\n\r\n{body}").unwrap();
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    text(&answer).split(' ').nth(1).unwrap_or_default().parse().unwrap_or(0)
}

/// Every intent that there is, once.
fn intents() -> Vec<Value> {
    let axis = |kind: &str| json!({ "type": kind, "unit": 1, "axis": "pan" });
    let unit = |kind: &str| json!({ "type": kind, "unit": 1 });
    let on = |kind: &str| json!({ "type": kind, "on": true });
    vec![
        json!({ "type": "look", "name": "dance floor" }),
        json!({ "type": "chase", "name": "reel", "on": true }),
        json!({ "type": "chase_speed", "name": "reel", "speed": 2 }),
        json!({ "type": "go" }),
        json!({ "type": "back" }),
        json!({ "type": "cue", "index": 2 }),
        json!({ "type": "score", "ask": { "do": "play", "score": "last dance", "at_s": 0 } }),
        json!({ "type": "score", "ask": { "do": "at", "score": "last dance", "at_s": 0, "clock_ms": 5, "player": 1 } }),
        json!({ "type": "score", "ask": { "do": "stop" } }),
        json!({ "type": "master", "level": 0.1 }),
        json!({ "type": "group_master", "group": "washes", "level": 0.1 }),
        on("blackout"),
        on("stillness"),
        on("stop_strobe"),
        json!({ "type": "tap" }),
        json!({ "type": "tempo", "bpm": 77 }),
        json!({ "type": "music", "ask": { "do": "midi_clock", "name": "stranger" } }),
        json!({ "type": "aim", "unit": 1, "at": [0, 0, 0] }),
        json!({ "type": "level", "unit": 1, "level": 1 }),
        json!({ "type": "colour", "unit": 1, "colour": "red" }),
        unit("let_go"),
        json!({ "type": "sight_go", "unit": 1, "mark": "cake" }),
        json!({ "type": "sight_nudge", "unit": 1, "towards": [1, 0, 0], "step": "fine" }),
        json!({ "type": "sight_on", "unit": 1, "mark": "cake" }),
        unit("sight_undo"),
        axis("sign_try"),
        json!({ "type": "sign_went", "unit": 1, "axis": "pan", "towards": null }),
        axis("stopwatch_start"),
        json!({ "type": "stopwatch_there", "unit": 1, "all_of_kind": true }),
        json!({ "type": "sight_alone", "unit": 1, "on": true }),
        unit("sight_end"),
        json!({ "type": "ask_colour", "unit": 1, "colour": "red" }),
        json!({ "type": "seen" }),
        json!({ "type": "change", "change": { "type": "look_remove", "name": "Supper" } }),
        json!({ "type": "undo" }),
        json!({ "type": "redo" }),
        json!({ "type": "keep_look", "name": "stranger", "units": null }),
        json!({ "type": "ask_history" }),
        json!({ "type": "what_if", "change": { "type": "look_remove", "name": "Supper" } }),
        json!({ "type": "bookmark", "name": "stranger" }),
        json!({ "type": "restore", "id": 1 }),
        json!({ "type": "set_up_tick", "keys": ["7 bond: left stand"], "done": true }),
        on("set_up_check"),
        json!({ "type": "set_up_answer", "question": 0, "otherwise": [{ "unit": 1, "seen": "dark" }] }),
        json!({ "type": "channel_try", "unit": 1, "channel": 1, "value": 255, "sure": true }),
        json!({ "type": "channel_release" }),
        json!({ "type": "set_up_back" }),
        json!({ "type": "set_up_anew" }),
        json!({ "type": "new_code", "role": "make" }),
        json!({ "type": "send_away", "id": 1 }),
    ]
}

#[test]
fn none_of_the_intents_is_left_out_here() {
    let wire =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../web/src/wire.gen.ts")).unwrap();
    let intent = wire.split("export type Intent = ").nth(1).unwrap().split("export type").next().unwrap();
    let known: BTreeSet<&str> =
        intent.split("\"type\": \"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    let intents = intents();
    let here: BTreeSet<&str> = intents.iter().map(|intent| intent["type"].as_str().unwrap()).collect();
    let missing: Vec<_> = known.difference(&here).collect();
    assert!(!known.is_empty() && missing.is_empty(), "not tried from before the door: {missing:?}");
}

#[test]
fn who_is_not_paired_sees_and_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (_show, address, code) = start(folder.path(), "--lan", ANY_PORT);
    let (mut page, told) = admitted(&address, &pair(&code));
    assert_eq!((&told["role"], &told["own"]), (&json!("run"), &json!(false)));
    let before = on(&moment(&mut page));
    // A stranger's socket is heard slowly after ten messages, so each takes eight.
    for some in intents().chunks(8) {
        let mut stranger = Page::open(&address);
        some.iter().for_each(|intent| stranger.say(intent));
        stranger.say(&pair("AAAAAA"));
        stranger.wait("an answer to the wrong code", |heard| {
            assert_eq!(heard["type"], "pair", "it is told nothing else: {heard}");
            (heard["says"] != "").then_some(())
        });
    }
    // All was heard; ticks have gone by since.
    let then = ticks(&moment(&mut page));
    let after = page
        .wait("later", |heard| (heard["type"] == "moment" && ticks(heard) > then + 8.0).then(|| on(heard)));
    assert_eq!(after, before);

    for (path, bare) in [
        ("/", 200),
        ("/app.js", 200),
        ("/app.css", 200),
        ("/lux.json", 401),
        ("/score/0/sound", 401),
        ("/score/0/outline.json", 401),
        ("/lux.svg", 401),
        ("/lux.json?plane=face", 401),
        ("/sheets.pdf", 401),
        ("/sheets.pdf?only=plan", 401),
        ("/sheets/plan.svg", 401),
        ("/sheets/power.csv", 401),
        ("/kind.json?name=RGBW%20par", 401),
        ("/nothing", 404),
        ("/../etc/passwd", 404),
    ] {
        assert_eq!(status(&address, path, ""), bare, "{path}");
        let wrong = format!("Authorization: Bearer {}\r\n", "0".repeat(64));
        assert_eq!(status(&address, path, &wrong), bare, "{path}, wrong token");
    }
    let right = format!("Authorization: Bearer {}\r\n", token(&told));
    // Charts are for those who make the show: others are turned away before their text is read.
    let chart = json!({ "text": "CH1 000-255 Red", "answers": [] });
    let take = json!({ "name": "stranger", "text": "CH1 000-255 Red", "answers": [], "replace": false });
    for (path, body) in [("/chart.json", &chart), ("/chart.text", &chart), ("/chart.take", &take)] {
        assert_eq!(posted(&address, path, "", body), 401, "{path}");
        assert_eq!(posted(&address, path, &right, body), 403, "{path}, may run");
    }
    assert_eq!(status(&address, "/kind.json?name=RGBW%20par", &right), 200);
    assert_eq!(status(&address, "/kind.json?name=stranger", &right), 404);
    assert_eq!(status(&address, "/lux.json", &right), 200);
    assert_eq!(status(&address, "/lux.svg", &right), 200);
    assert_eq!(status(&address, "/sheets.pdf?only=power", &right), 200);
    assert_eq!(status(&address, "/sheets.pdf?only=nothing", &right), 400);
    for (file, wanted) in
        [("plan.svg?paper=letter", 200), ("power.csv", 200), ("nothing.csv", 404), ("plan.txt", 404)]
    {
        assert_eq!(status(&address, &format!("/sheets/{file}"), &right), wanted, "{file}");
    }
}

#[test]
fn roles_hold_and_who_is_sent_away_is_out_at_once_and_for_good() {
    let folder = tempfile::tempdir().unwrap();
    let (show, address, code) = start(folder.path(), "--lan=make", ANY_PORT);
    let (mut laptop, told) = admitted(&address, &pair(&code));
    let laptop_token = token(&told);
    assert_eq!((&told["role"], &told["own"]), (&json!("make"), &json!(true)));
    let codes = |role: &'static str| {
        move |heard: &Value| {
            let codes = heard["codes"].as_array()?;
            Some(codes.iter().find(|code| code["role"] == role)?["code"].as_str()?.to_owned())
        }
    };
    let mut new_code = |role: &'static str| {
        laptop.say(&json!({ "type": "new_code", "role": role }));
        laptop.wait("a code", codes(role))
    };
    let (look, run) = (new_code("look"), new_code("run"));
    let (mut looks, told) = admitted(&address, &pair(&look));
    let look_token = token(&told);
    let (mut runs, told) = admitted(&address, &pair(&run));
    let run_token = token(&told);

    // Looking: everything is seen, nothing is touched.
    looks.wait("the scene", |heard| (heard["type"] == "scene").then_some(()));
    let before = on(&moment(&mut looks));
    for intent in
        intents().iter().filter(|intent| !["seen", "ask_colour"].contains(&intent["type"].as_str().unwrap()))
    {
        looks.say(intent);
        let says =
            looks.wait("a refusal", |heard| (heard["type"] == "refused").then(|| heard["says"].clone()));
        assert!(says.as_str().unwrap().contains("may look, not touch"), "{intent}: {says}");
    }
    assert_eq!(on(&moment(&mut looks)), before);
    looks.say(&json!({ "type": "ask_colour", "unit": 1, "colour": "red" }));
    looks.wait("an answer", |heard| (heard["type"] == "colour").then_some(()));

    // Running: the show runs, its file stays; codes are the laptop's.
    for kind in ["sight_go", "sight_on", "sight_undo", "stopwatch_start", "new_code", "send_away"] {
        let intent = intents().into_iter().find(|intent| intent["type"] == kind).unwrap();
        runs.say(&intent);
        runs.wait("a refusal", |heard| (heard["type"] == "refused").then_some(()));
    }
    runs.say(&json!({ "type": "master", "level": 0.25 }));
    runs.wait("the master", |heard| (heard["now"]["master"] == 0.25).then_some(()));
    runs.say(&json!({ "type": "group_master", "group": "washes", "level": 0.25 }));
    runs.wait("a group master", |heard| (heard["now"]["groups"][0] == 0.25).then_some(()));

    // Sent away: by its name on the laptop's page.
    laptop.say(&json!({ "type": "send_away", "id": 2 }));
    looks.wait("the last word", |heard| (heard["type"] == "sent_away").then_some(()));
    assert_eq!(looks.hear_or_end(), None, "the socket is closed");
    let refused = |address: &str| {
        let mut again = Page::open(address);
        again.say(&json!({ "type": "token", "token": look_token }));
        again.wait("no", |heard| (heard["forget"] == true).then_some(()));
    };
    refused(&address);
    let right = format!("Authorization: Bearer {look_token}\r\n");
    assert_eq!(status(&address, "/lux.json", &right), 401);
    moment(&mut runs);

    // After a restart all of this still holds; the state folder has no token to steal.
    let (mut running, _) = show;
    let told = Command::new("kill").args(["-INT", &running.0.id().to_string()]).status().unwrap();
    assert!(told.success() && running.0.wait().unwrap().success());
    let state = folder.path().join("state/lanthorn");
    let port = address.rsplit_once(':').unwrap().1;
    let kept = std::fs::read_to_string(state.join(format!("paired-{port}.json"))).unwrap();
    assert!(
        kept.contains("\"run\"")
            && ![&laptop_token, &run_token, &look_token].iter().any(|token| kept.contains(*token))
    );
    let (_show, address, _) = start(folder.path(), "--lan", &address);
    let (_, told) = admitted(&address, &json!({ "type": "token", "token": run_token }));
    assert_eq!((&told["role"], &told["token"]), (&json!("run"), &Value::Null));
    refused(&address);
}

#[test]
fn this_machine_is_at_home_and_the_network_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let mut network = if_addrs::get_if_addrs().unwrap_or_default().into_iter().map(|one| one.ip());
    let network = network.find(|ip| matches!(ip, IpAddr::V4(_)) && !ip.is_loopback());
    let (_show, _, address) = open(folder.path(), &["open", "demo", "--lan", "--listen", "0.0.0.0:0"]);
    let mut home = Page::open(&address);
    let told = home.hear();
    assert_eq!(
        (&told["type"], &told["role"], &told["own"]),
        (&json!("admitted"), &json!("make"), &json!(true))
    );
    home.wait("codes", |heard| heard["codes"][0]["code"].as_str().map(|_| ()));
    // A machine without a network has no more to show.
    let Some(ip) = network else { return };
    let port = address.rsplit_once(':').unwrap().1;
    let address = format!("{ip}:{port}");
    assert_eq!(Page::open(&address).hear()["type"], "pair");
    assert_eq!(status(&address, "/lux.json", ""), 401);
    // Asked for by the name of another of its addresses, or of somebody else's.
    for host in [format!("127.0.0.1:{port}"), format!("localhost:{port}"), format!("rebound.example:{port}")]
    {
        let answer = ask(&address, &format!("GET / HTTP/1.1\r\nHost: {host}\r\n"));
        assert!(answer.starts_with("HTTP/1.1 403"), "{host}: {answer}");
    }
}

#[test]
fn pages_of_other_sites_and_other_names_are_turned_away() {
    let folder = tempfile::tempdir().unwrap();
    let (_show, _, address) =
        open(folder.path(), &["open", "demo", "--lan", "--host", "hall.example", "--listen", ANY_PORT]);
    let port = address.rsplit_once(':').unwrap().1;
    let upgrade = "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\
                   Sec-WebSocket-Version: 13\r\n";
    for path in ["/", "/app.js", "/lux.json", "/lux.svg", "/sheets.pdf", "/live", "/nothing"] {
        let answer = |host: &str, origin: &str| {
            let extra = if path == "/live" { upgrade } else { "" };
            let head = format!("GET {path} HTTP/1.1\r\nHost: {host}\r\n{origin}{extra}\r\n");
            let mut stream = TcpStream::connect(&address).unwrap();
            stream.set_read_timeout(Some(PATIENCE)).unwrap();
            stream.write_all(head.as_bytes()).unwrap();
            let mut start = [0; 12];
            stream.read_exact(&mut start).unwrap();
            text(&start[9..])
        };
        let good = match path {
            "/live" => "101",
            "/nothing" => "404",
            _ => "200",
        };
        for (host, origin, status) in [
            (address.clone(), String::new(), good),
            (address.clone(), format!("Origin: http://{address}\r\n"), good),
            (format!("localhost:{port}"), format!("Origin: http://localhost:{port}\r\n"), good),
            (format!("hall.example:{port}"), format!("Origin: http://hall.example:{port}\r\n"), good),
            (address.clone(), "Origin: http://elsewhere.example\r\n".to_owned(), "403"),
            (address.clone(), "Origin: null\r\n".to_owned(), "403"),
            (format!("rebound.example:{port}"), format!("Origin: http://rebound.example:{port}\r\n"), "403"),
            (format!("rebound.example:{port}"), String::new(), "403"),
            ("127.0.0.1".to_owned(), String::new(), "403"),
            (format!("{address}\r\nHost: rebound.example:{port}"), String::new(), "403"),
        ] {
            assert_eq!(answer(&host, &origin), status, "{path} {host} {origin}");
        }
    }
    let page = ask(&address, &format!("GET / HTTP/1.1\r\nHost: {address}\r\n")).to_lowercase();
    for header in [
        "content-security-policy: default-src 'none'; script-src 'self'; style-src 'self'",
        "x-content-type-options: nosniff",
        "referrer-policy: no-referrer",
        "cross-origin-opener-policy: same-origin",
        "cross-origin-resource-policy: same-origin",
        "cross-origin-embedder-policy: require-corp",
    ] {
        assert!(page.contains(header), "{header}");
    }
    assert!(!page.contains("access-control-") && !page.contains("unsafe-inline"), "{page}");
}

#[test]
fn ten_thousand_wrong_codes_do_not_disturb_those_who_are_in() {
    let folder = tempfile::tempdir().unwrap();
    let (_show, address, code) = start(folder.path(), "--lan=make", ANY_PORT);
    let (mut page, _) = admitted(&address, &pair(&code));
    let before = ticks(&moment(&mut page));
    let mut waited = false;
    for round in 0..1000 {
        let mut stranger = Page::open(&address);
        (0..10).for_each(|_| stranger.say(&pair("AAAAAA")));
        let mut answers = 0;
        while answers < 10 {
            let heard = stranger.hear();
            assert_eq!(heard["type"], "pair");
            waited |= heard["wait_s"].as_f64().unwrap() > 0.0;
            answers += u32::from(heard["says"] != "");
        }
        if round % 20 == 0 {
            moment(&mut page);
        }
    }
    assert!(waited, "wrong codes have to wait");
    page.say(&json!({ "type": "master", "level": 0.5 }));
    page.wait("frames that went on, and the master", |heard| {
        (heard["now"]["master"] == 0.5 && ticks(heard) > before + 100.0).then_some(())
    });
    let says = page.wait("the news of it", |heard| {
        heard["says"].as_array()?.iter().find_map(|says| Some(says.as_str()?.to_owned()))
    });
    assert!(says.contains("wrong codes") && says.contains("127.0.0.1"), "{says}");
}

#[test]
fn garbage_and_giants_end_their_own_socket_only() {
    let folder = tempfile::tempdir().unwrap();
    let (_show, address, code) = start(folder.path(), "--lan", ANY_PORT);
    let (mut page, told) = admitted(&address, &pair(&code));
    let before = ticks(&moment(&mut page));
    let known = json!({ "type": "token", "token": token(&told) });
    let giant = |length: u64| {
        let mut frame = vec![0x81, 0x80 | 127];
        frame.extend(length.to_be_bytes());
        frame.extend([0; 4]);
        frame.resize(frame.len() + length as usize, b' ');
        frame
    };
    // Noise that is the same every time: the constants of Knuth's MMIX generator.
    let mut state = 1_u64;
    let noise: Vec<u8> = std::iter::repeat_with(|| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 56) as u8
    })
    .take(100_000)
    .collect();
    let unmasked = [&[0x81, 0x0d][..], b"{\"type\":\"go\"}"].concat();
    let halves = [0x01, 0x81, 0, 0, 0, 0, b'{'].repeat(4);
    for inside in [false, true] {
        for garbage in [
            noise.clone(),
            unmasked.clone(),
            halves.clone(),
            vec![0xff; 4000],
            giant(10_000_000),
            giant(20_000),
        ] {
            let mut other = if inside { admitted(&address, &known).0 } else { Page::open(&address) };
            // The machine may hang up before all of it is written.
            let _ = other.0.write_all(&garbage);
            while other.hear_or_end().is_some() {}
        }
        for harmless in [&b""[..], b"null", b"{}", b"[[[[[[", b"\"go\"", "{\"type\":\"gö\"}".as_bytes()] {
            let mut other = if inside { admitted(&address, &known).0 } else { Page::open(&address) };
            let length = u8::try_from(harmless.len()).unwrap();
            other.0.write_all(&[&[0x81, 0x80 | length, 0, 0, 0, 0], harmless].concat()).unwrap();
            let next = other.hear();
            assert!(next["type"].is_string(), "it is dropped, and the socket stays");
        }
    }
    // Heads of requests that never end, or are no requests.
    for start in [&noise[..], b"GET / HTTP/1.1\r\nHost: ", &[b'A'; 100_000]] {
        let mut stream = TcpStream::connect(&address).unwrap();
        let _ = stream.write_all(start);
    }
    let after = ticks(&moment(&mut page));
    assert!(after > before, "frames went on");
    assert_eq!(status(&address, "/", ""), 200);
}

#[test]
fn two_hundred_sockets_that_read_nothing_hold_up_nobody() {
    let folder = tempfile::tempdir().unwrap();
    let (_show, address, code) = start(folder.path(), "--lan", ANY_PORT);
    let (mut page, told) = admitted(&address, &pair(&code));
    let known = json!({ "type": "token", "token": token(&told) });
    let slow: Vec<Page> = (0..200)
        .map(|_| {
            let mut slow = Page::open(&address);
            slow.say(&known);
            slow
        })
        .collect();
    let before = ticks(&moment(&mut page));
    let mut last = before;
    while last < before + 80.0 {
        let now = ticks(&moment(&mut page));
        assert!(now >= last, "moments come in order");
        last = now;
    }
    page.say(&json!({ "type": "master", "level": 0.5 }));
    page.wait("the master", |heard| (heard["now"]["master"] == 0.5).then_some(()));
    drop(slow);
    std::thread::sleep(Duration::from_millis(100));
    moment(&mut page);
}
