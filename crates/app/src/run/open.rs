//! `lanthorn open SHOW`, and `lanthorn` alone

use std::io::Write;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use anyhow::Context;
use lanthorn_dmx::sacn::Cid;
use lanthorn_live::output::{OutputError, Sender};
use lanthorn_live::{Clock, Ears, Engine, EngineError, OutputSpec, Snapshots};
use lanthorn_rehearsal::planted::plant;
use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, plan, short_text};
use lanthorn_store::disk;

use super::Failure;
use crate::command::{LISTEN, Open};
use crate::current::{Current, Text};
use crate::desk::Desk;
use crate::door::{self, Door, Settings, Time};
use crate::ears::{Sound, Way};
use crate::files::{self, DEMO, Opened, state_folder};
use crate::planned::{Playing, with_show};
use crate::resume::{self, Keeper};
use crate::score::Scores;
use crate::setup::{self, Ticks};
use crate::stage::Stage;
use crate::truth;
use crate::wire::Role;

/// Other ports to try when the usual one is taken and none was asked for.
const MORE_PORTS: u16 = 20;

/// The start does not wait longer than this for what the moves ask of the motors.
const MOVES_WAIT: Duration = Duration::from_millis(400);

/// Opens the built-in show against the stand-in.
pub(crate) fn demo() -> Result<(), Failure> {
    open(files::open(DEMO)?, (&[], None), Some(Listen::Usual), Settings::default(), (Truth::default(), None))
}

/// Opens a show.
pub(crate) fn run(options: &Open) -> Result<(), Failure> {
    let outputs = options.outputs().map_err(Failure::Input)?;
    let sound = options.ears.as_deref().map(Sound::read).transpose().map_err(Failure::Input)?;
    let mut opened = files::open(&options.show)?;
    opened.start_with(options.start.as_deref())?;
    let listen = match (options.no_page, options.listen) {
        (true, _) => None,
        (false, Some(address)) if !address.ip().is_loopback() && options.lan.is_none() => {
            return Err(Failure::Input(format!(
                "--listen {address} would serve the network: say --lan as well, then browsers pair by a code; without \
                 either the page is served to this machine alone"
            )));
        }
        (false, Some(address)) => Some(Listen::At(address)),
        (false, None) if options.lan.is_some() => Some(Listen::Network),
        (false, None) => Some(Listen::Usual),
    };
    let settings = Settings {
        lan: options.lan,
        everyone_pairs: options.everyone_pairs,
        names: options.host.clone(),
        ..Settings::default()
    };
    let truth = truth(options, &opened)?;
    let anew = options.fresh || options.start.is_some();
    let found = kept_file(&opened).filter(|_| !anew).and_then(|file| {
        resume::find(&file, &opened.file.show, &opened.file.rig, std::time::SystemTime::now())
    });
    open(opened, (&outputs, sound), listen, settings, (truth, found))
}

/// Where what is on is kept while the show is open; nowhere for one that is built in.
fn kept_file(opened: &Opened) -> Option<PathBuf> {
    Some(resume::file_of(&state_folder()?, opened.path.as_deref()?))
}

/// What was ticked of setting up.
fn ticks(path: Option<&Path>) -> Ticks {
    let file = path.and_then(|path| Some(setup::file_of(&state_folder()?, path)));
    Ticks::open(file, path)
}

/// How the lights of the stand-in hang.
#[derive(Default)]
struct Truth {
    /// None: as they are believed to.
    rig: Option<Arc<Rig>>,
    /// What is to be said of it.
    lines: Vec<String>,
}

fn truth(options: &Open, opened: &Opened) -> Result<Truth, Failure> {
    let mut truth = hung(options, opened)?;
    let Some(text) = &options.faults else { return Ok(truth) };
    let believed = &opened.file.rig;
    let faults = truth::faults(text, believed).map_err(Failure::Input)?;
    let rig = truth.rig.as_deref().unwrap_or(believed);
    truth.rig = Some(Arc::new(plant(rig, &faults)));
    truth.lines.push(format!("the stand-in has faults planted: {text}; find them in Set up"));
    Ok(truth)
}

/// How they hang, before faults are planted.
fn hung(options: &Open, opened: &Opened) -> Result<Truth, Failure> {
    let believed = &opened.file.rig;
    if let Some(other) = &options.stand_in {
        let other = files::open(other)?;
        let rig = truth::as_in(believed, other.file.rig, &other.name).map_err(Failure::Input)?;
        let lines = vec![format!("the stand-in's lights hang as {} says", other.name)];
        return Ok(Truth { rig: Some(Arc::new(rig)), lines });
    }
    let Some(seed) = options.askew else { return Ok(Truth::default()) };
    let (rig, heads) = truth::askew(believed, seed);
    let mut lines = vec![format!("the stand-in's heads hang askew, seed {seed}; sight them in:")];
    lines.extend(heads);
    Ok(Truth { rig: Some(Arc::new(rig)), lines })
}

/// Where the page is served.
#[derive(Clone, Copy)]
enum Listen {
    /// The usual address, or a free port beside it.
    Usual,
    /// Every address of this machine, at the usual port or a free one beside it.
    Network,
    /// Here or not at all.
    At(SocketAddr),
}

fn open(
    opened: Opened,
    (outputs, sound): (&[OutputSpec], Option<Sound>),
    listen: Option<Listen>,
    settings: Settings,
    (truth, found): (Truth, Option<resume::Found>),
) -> Result<(), Failure> {
    let kept = opened.path.clone().map(|path| (kept_file(&opened), path));
    opened.print_warnings();
    let served = listen.map(|listen| page(listen, settings)).transpose()?;
    let stop = stop_on_signal()?;
    let mut plan = plan(&opened.file.rig);
    let text = Arc::new(Text::new(&opened.text, &opened.file));
    let (show, rig) = (Arc::new(opened.file.show), Arc::new(opened.file.rig));
    let sender = Sender { cid: cid(), name: format!("Lanthorn: {}", show.name) };
    let (engine, commands, mut snapshots) = match &found {
        Some(found) => Engine::resume((show.clone(), rig.clone()), &found.resuming, outputs, &sender),
        None => Engine::start(show.clone(), rig.clone(), outputs, &sender),
    }
    .map_err(not_started)?;
    let names: Vec<String> = outputs.iter().map(OutputSpec::words).collect();
    let playing =
        Playing::start(show.clone(), rig.clone()).context("start the thread that plays the show")?;
    let moves = playing.wait(MOVES_WAIT);
    plan.findings.extend(moves.iter().flatten().cloned());
    plan.findings.sort_by_cached_key(Finding::key);

    let mut out = std::io::stdout().lock();
    writeln!(out, "{}\n\n{}\n", show.name, short_text(&plan).trim_end())?;
    let more = found.iter().flat_map(|found| &found.lines).chain(&truth.lines);
    tell_of_lights(&mut out, &names, more)?;
    let plan = with_show(plan, &show, &rig);
    // The lights are on already; a show that takes longer to play is not waited for, and the page hears of it later.
    let moves = moves.ok_or(playing);
    let clock = engine.clock();
    let current = Arc::new(Current::new(show, rig, text, commands));
    let keeper = keep(&current, kept)?;
    let (ears, hearing) = ears(&current, clock, sound, &stop)?;
    let folder = opened.path.as_deref().and_then(Path::parent).map(Path::to_owned);
    let (scores, playing) = Scores::start(current.clone(), ears.clone(), clock, folder, stop.clone())
        .context("start the thread that plays scores")?;
    let (desk, making) = Desk::start(opened.path.clone(), opened.text, current.clone(), clock, stop.clone())
        .context("start the thread on which the show is made")?;
    let stage = Stage {
        current: current.clone(),
        plan,
        moves,
        truth: truth.rig,
        ticks: ticks(opened.path.as_deref()),
        path: opened.path,
        desk,
        names,
        clock,
        ears,
        scores,
    };
    match served {
        Some(Served { listener, door, words }) => {
            for line in words {
                writeln!(out, "{line}")?;
            }
            writeln!(out, "        Ctrl-C ends")?;
            out.flush()?;
            drop(out);
            stage.serve(listener, Arc::new(door), snapshots, &stop)?;
        }
        None => {
            writeln!(out, "        Ctrl-C ends")?;
            out.flush()?;
            drop(out);
            run_without_page(&engine, &mut snapshots, &current, &stop);
        }
    }
    let ended_by_itself = !engine.is_running();
    engine.stop();
    // A change that is being made is finished; a panic there has already been printed.
    stop.store(true, Ordering::Release);
    let _ = (making.join(), hearing.join(), playing.join());
    ended(keeper, ended_by_itself)
}

fn ended(keeper: Option<Keeper>, by_itself: bool) -> Result<(), Failure> {
    if let Some(keeper) = keeper {
        keeper.end(!by_itself);
    }
    if by_itself {
        return Err(anyhow::anyhow!("the tick thread has ended").into());
    }
    println!("\nended; every stream was told so");
    Ok(())
}

/// What listens to the music, and begins to listen to what was asked for.
fn ears(
    current: &Arc<Current>,
    clock: Clock,
    sound: Option<Sound>,
    stop: &Arc<AtomicBool>,
) -> Result<(Ears, std::thread::JoinHandle<()>), Failure> {
    let told = current.clone();
    let (ears, thread) = Ears::start(clock, move |pulse, at| told.hear(pulse, at), stop.clone())
        .context("start the thread that listens to the music")?;
    if let Some(sound) = sound {
        let way = Way { ears: ears.clone(), clock, stop: stop.clone() };
        sound.start(way).map_err(Failure::Input)?;
    }
    Ok((ears, thread))
}

/// Until it is to stop, or stops by itself.
fn run_without_page(engine: &Engine, snapshots: &mut Snapshots, current: &Current, stop: &AtomicBool) {
    while !stop.load(Ordering::Acquire) && engine.is_running() {
        let snapshot = snapshots.latest();
        if snapshot.ticks.done > 0 {
            current.see(snapshot);
        }
        std::thread::sleep(Duration::from_millis(20));
    }
}

fn tell_of_lights<'a>(
    out: &mut impl Write,
    names: &[String],
    more: impl Iterator<Item = &'a String>,
) -> std::io::Result<()> {
    if names.is_empty() {
        writeln!(out, "lights  the stand-in alone; --sacn, --artnet or --usb send to real ones")?;
    }
    for name in names {
        writeln!(out, "lights  {name}")?;
    }
    for line in more {
        writeln!(out, "        {line}")?;
    }
    Ok(())
}

/// Keeps what is on; not for a show that is built in.
fn keep(current: &Arc<Current>, kept: Option<(Option<PathBuf>, PathBuf)>) -> anyhow::Result<Option<Keeper>> {
    let Some((file, show)) = kept else { return Ok(None) };
    // Without a folder to keep it in there is nothing to keep.
    let keeper = file.map(|file| Keeper::start(file, &show, current.clone())).transpose();
    keeper.context("start the thread that keeps what is on")
}

fn not_started(error: EngineError) -> Failure {
    match error {
        EngineError::Output(wrong @ (OutputError::NoInterface { .. } | OutputError::NoUniverse { .. })) => {
            Failure::Input(wrong.to_string())
        }
        error => Failure::Machine(anyhow::Error::from(error).context("open the outputs")),
    }
}

/// Where the page is served, and to whom.
struct Served {
    listener: TcpListener,
    door: Door,
    /// What is to be said of it.
    words: Vec<String>,
}

fn page(listen: Listen, mut settings: Settings) -> Result<Served, Failure> {
    let (listener, address) = bind(listen)?;
    if settings.lan.is_some() {
        settings.url = outside(address).map(|address| format!("http://{address}/"));
        // By port, as browsers keep what they know by address and port.
        settings.file = state_folder()
            .map(|folder| folder.join("lanthorn").join(format!("paired-{}.json", address.port())));
    }
    let (lan, everyone_pairs, url) = (settings.lan, settings.everyone_pairs, settings.url.clone());
    let time = Time::now();
    let door = Door::new(settings, time)?;
    let here = match address.ip() {
        ip if ip.is_unspecified() => SocketAddr::new(Ipv4Addr::LOCALHOST.into(), address.port()),
        _ => address,
    };
    let mut words = vec![format!("page    http://{here}/")];
    let Some(role) = lan else { return Ok(Served { listener, door, words }) };
    if !everyone_pairs && here.ip().is_loopback() {
        words.push("        for this machine's own browsers, which need no code".to_owned());
    }
    let Some(code) = door.code_of(role, time.now) else { return Ok(Served { listener, door, words }) };
    match &url {
        Some(url) => words.push(format!("others  {url}")),
        None => words.push(
            "others  this machine has no address on a network yet; join one and start again".to_owned(),
        ),
    }
    words.push(format!("code    {code}"));
    words.push(format!("        anyone who has it can {} within the next ten minutes;", may(role)));
    words.push(
        "        nothing on this network is encrypted: who listens in can do what a paired browser may"
            .to_owned(),
    );
    if let Some(drawn) = door.address_with(&code).and_then(|address| door::in_terminal(&address)) {
        words.extend(drawn.lines().map(|line| format!("        {line}")));
    }
    Ok(Served { listener, door, words })
}

fn may(role: Role) -> &'static str {
    match role {
        Role::Look => "look on",
        Role::Run => "run the lights",
        Role::Make => "run the lights and change the show",
    }
}

/// The address by which others find the page: the one asked for, else the machine's own on its network, private ones
/// first.
fn outside(address: SocketAddr) -> Option<SocketAddr> {
    if !address.ip().is_unspecified() {
        return Some(address);
    }
    let mut found: Vec<Ipv4Addr> = if_addrs::get_if_addrs()
        .unwrap_or_default()
        .iter()
        .filter(|interface| !interface.is_loopback())
        .filter_map(|interface| match interface.ip() {
            IpAddr::V4(ip) => Some(ip),
            IpAddr::V6(_) => None,
        })
        .collect();
    found.sort_by_key(|ip| (ip.is_link_local(), !ip.is_private()));
    found.first().map(|ip| SocketAddr::new((*ip).into(), address.port()))
}

fn bind(listen: Listen) -> Result<(TcpListener, SocketAddr), Failure> {
    let usual = |ip: IpAddr| {
        (LISTEN.port()..=LISTEN.port() + MORE_PORTS)
            .find_map(|port| TcpListener::bind(SocketAddr::new(ip, port)).ok())
            .with_context(|| format!("serve the page at {LISTEN} or one of the {MORE_PORTS} ports after it"))
    };
    let bound = match listen {
        Listen::At(address) => TcpListener::bind(address)
            .with_context(|| format!("serve the page at {address}; --listen says another address")),
        Listen::Usual => usual(LISTEN.ip()),
        Listen::Network => usual(Ipv4Addr::UNSPECIFIED.into()),
    }?;
    let address = bound.local_addr().context("serve the page")?;
    Ok((bound, address))
}

/// Set by Ctrl-C, by the end of the terminal, or by a polite kill. More of them change nothing: the end takes a
/// quarter of a second, and the streams must be told.
fn stop_on_signal() -> Result<Arc<AtomicBool>, Failure> {
    let stop = Arc::new(AtomicBool::new(false));
    for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
        signal_hook::flag::register(signal, stop.clone()).context("hear Ctrl-C")?;
    }
    #[cfg(unix)]
    signal_hook::flag::register(signal_hook::consts::SIGHUP, stop.clone())
        .context("hear the terminal's end")?;
    Ok(stop)
}

/// Who we are on the network, kept over restarts in the person's state folder; where there is none, a new one each
/// time.
fn cid() -> Cid {
    let fresh = || {
        use std::hash::{BuildHasher, Hasher};
        // The standard library's own random keys: no more is needed to tell two senders apart.
        let random = || std::collections::hash_map::RandomState::new().build_hasher().finish().to_be_bytes();
        let mut bytes = [0; 16];
        bytes[..8].copy_from_slice(&random());
        bytes[8..].copy_from_slice(&random());
        Cid::from_random(bytes).0
    };
    let kept = state_folder().and_then(|folder| {
        disk::load_or_create_cid(&folder.join("lanthorn").join("cid"), fresh)
            .inspect_err(|error| eprintln!("take care: our network identity will not last: {error}"))
            .ok()
    });
    Cid(kept.unwrap_or_else(fresh))
}
