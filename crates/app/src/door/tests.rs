use std::net::Ipv4Addr;

use super::*;

const HOME: IpAddr = IpAddr::V4(Ipv4Addr::LOCALHOST);
const PHONE: IpAddr = IpAddr::V4(Ipv4Addr::new(10, 0, 0, 9));
const STRANGER: IpAddr = IpAddr::V4(Ipv4Addr::new(10, 0, 0, 66));

fn door(lan: Option<Role>, everyone_pairs: bool) -> (Door, Time) {
    let time = Time { now: Instant::now(), unix_s: 1_700_000_000 };
    let url = Some("http://192.0.2.10:7411/".to_owned());
    (Door::new(Settings { lan, everyone_pairs, url, ..Settings::default() }, time).unwrap(), time)
}

fn pair(code: &str) -> Knock {
    Knock::Pair { code: code.to_owned(), name: "phone".to_owned() }
}

#[test]
fn a_code_gives_a_token_and_the_token_comes_back() {
    let (door, time) = door(Some(Role::Run), false);
    assert!(door.at_home(PHONE).is_none());
    let code = door.code_of(Role::Run, time.now).unwrap();
    let guest = door.knock(PHONE, &pair(&code), time).unwrap();
    let token = guest.token.unwrap();
    assert_eq!((guest.role, guest.own, token.len()), (Role::Run, false, 64));
    assert!(door.role_of(&token).is_some() && door.role_of(&code).is_none() && door.role_of("").is_none());
    let again = door.knock(PHONE, &Knock::Token { token: token.clone() }, time).unwrap();
    assert_eq!((again.role, again.own, again.token), (Role::Run, false, None));
    door.send_away(1, time);
    assert!(again.stay.unwrap().has_changed().is_err(), "its socket hears");
    let refused = door.knock(PHONE, &Knock::Token { token: token.clone() }, time).unwrap_err();
    assert!(refused.forget && refused.says.contains("not paired"));
    assert!(door.role_of(&token).is_none());
}

#[test]
fn this_machine_is_at_home_unless_everyone_pairs() {
    let (open, time) = door(Some(Role::Run), false);
    let guest = open.at_home(HOME).unwrap();
    assert_eq!((guest.role, guest.own), (Role::Make, true));
    let (strict, _) = door(Some(Role::Make), true);
    assert!(strict.at_home(HOME).is_none());
    let code = strict.code_of(Role::Make, time.now).unwrap();
    assert!(!strict.knock(PHONE, &pair(&code), time).unwrap().own, "from elsewhere it only makes");
    let code = strict.code_of(Role::Make, time.now).unwrap();
    assert!(strict.knock(HOME, &pair(&code), time).unwrap().own);
}

#[test]
fn wrong_codes_wait_and_keep_nobody_out_who_is_right() {
    let (door, time) = door(Some(Role::Run), false);
    let code = door.code_of(Role::Run, time.now).unwrap();
    let waits: Vec<f64> =
        (0..8).map(|_| door.knock(STRANGER, &pair("AAAAAA"), time).unwrap_err().wait_s).collect();
    assert_eq!(waits, [0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0], "while it waits nothing more is counted");
    assert!(door.knock(STRANGER, &pair(&code), time).is_err(), "not even the right one is listened to");
    for _ in 0..10_000 {
        assert!(door.knock(STRANGER, &pair("AAAAAA"), time).is_err());
    }
    assert!(door.knock(PHONE, &pair(&code), time).is_ok());
    assert!(door.at_home(HOME).is_some());
    let later = Time { now: time.now + Duration::from_secs(1), ..time };
    assert!(door.knock(STRANGER, &pair(&code), later).is_ok(), "after the wait it is heard again");
}

#[test]
fn the_machines_own_page_is_told_of_codes_and_guests() {
    let (door, time) = door(Some(Role::Run), false);
    let code = door.code_of(Role::Run, time.now).unwrap();
    let mut views = door.views();
    let told = |views: &mut watch::Receiver<Utf8Bytes>| -> serde_json::Value {
        serde_json::from_str(&views.borrow_and_update()).unwrap()
    };
    let first = told(&mut views);
    assert_eq!((first["type"].as_str(), first["codes"][0]["code"].as_str()), (Some("door"), Some(&*code)));
    door.refresh(time);
    assert!(!views.has_changed().unwrap(), "nothing new, nothing said");
    let guest = door.knock(PHONE, &pair(&code), time).unwrap();
    let second = told(&mut views);
    assert_eq!(second["paired"][0]["name"], "phone");
    assert_eq!(second["paired"][0]["here"], true);
    let token = guest.token.unwrap();
    assert!(!second.to_string().contains(&token), "no token leaves but to its own browser");
    door.new_code(Role::Run, time);
    assert!(door.knock(STRANGER, &pair(&code), time).is_err(), "the code before is no longer good");
}

#[test]
fn each_role_asks_for_no_more_than_its_own() {
    let intents: Vec<(Intent, Role)> = [
        (r#"{"type":"seen"}"#, Role::Look),
        (r#"{"type":"ask_colour","unit":1,"colour":"red"}"#, Role::Look),
        (r#"{"type":"go"}"#, Role::Run),
        (r#"{"type":"chase_speed","name":"reel","speed":2}"#, Role::Run),
        (r#"{"type":"group_master","group":"washes","level":0.5}"#, Role::Run),
        (r#"{"type":"blackout","on":true}"#, Role::Run),
        (r#"{"type":"aim","unit":1,"at":[0,0,0]}"#, Role::Run),
        (r#"{"type":"let_go","unit":null}"#, Role::Run),
        (r#"{"type":"sight_on","unit":1,"mark":"cake"}"#, Role::Make),
        (r#"{"type":"sight_undo","unit":1}"#, Role::Make),
        (r#"{"type":"new_code","role":"make"}"#, Role::Make),
        (r#"{"type":"send_away","id":1}"#, Role::Make),
    ]
    .map(|(text, role)| (serde_json::from_str(text).unwrap(), role))
    .into();
    for (intent, needed) in &intents {
        for role in [Role::Look, Role::Run, Role::Make] {
            assert_eq!(role.refuses(intent).is_none(), role >= *needed, "{role:?} {intent:?}");
        }
    }
}
