//! The command line, as typed.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use lanthorn_dmx::Universe;
use lanthorn_live::OutputSpec;
use lanthorn_live::output::UsbKind;
use lanthorn_physics::Instant;

use crate::wire::Role;

/// Where the page is served when nothing else is said: this machine alone.
pub(crate) const LISTEN: SocketAddr = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 7411);

/// Take a small lighting rig from the box to a running show tonight.
#[derive(Debug, Parser)]
#[command(
    name = "lanthorn",
    version,
    max_term_width = 100,
    after_help = "With no command: opens the built-in demo against the stand-in.\nExit status: 0 done, 1 the machine could not, 2 the show file or the command line is wrong."
)]
pub(crate) struct CommandLine {
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Run a show: to the lights, to the stand-in, to the page
    Open(Open),
    /// Write a new show file, a small one to start from
    New(New),
    /// Take a show to another room or rig: a new file, and what could not be kept
    Carry(Carry),
    /// Change a show file: JSON in on standard input, one change or a list; every other byte stays (docs/changes.md)
    Change(Change),
    /// Read a show file and say what is wrong with it
    Check(Check),
    /// Print the plan: menus, addresses, cables, power, weight, where beams land, findings
    Plan(Plan),
    /// Put the rig and the show on paper: plan to scale, tables, cue sheet, setup cards, labels, cautions
    Sheets(Sheets),
    /// Say where each head really hangs by its sights, how far it may miss, and which mark to sight next
    Sight(Sight),
    /// List every edit of a show; undo, redo, name, restore, compare
    History(History),
    /// Print the exact channel values of any moment, without a network
    Frames(Frames),
    /// Show what arrives on the network: sources, universes, priorities, levels
    Watch(Watch),
    /// Map the light level of a look over the room, as a page to print or as JSON
    Lux(Lux),
    /// Profiles: what a kind of light is. Read one out of a manual's chart or a fixture file
    #[command(subcommand)]
    Profile(Profile),
    /// Say what a photometric file holds, and the lines that put it into a profile
    Ies(Ies),
    /// Read a rig file (MVR) into a new show, or a patch list (CSV) into a show that is there
    Import(Import),
    /// Write a show's rig as a rig file (MVR), or its patch or cables as a table (CSV)
    Export(Export),
    /// Hear the beats, bars, drums and parts of music in sound files (WAV, FLAC, MP3, Ogg Vorbis, AAC)
    Listen(Listen),
    /// Lay a lighting score over a piece of music from a show's own looks, and keep it in the show (docs/score.md)
    Score(Score),
    /// The maths for scripts: JSON in on standard input, JSON out
    Calc(Calc),
}

#[derive(Debug, Args)]
pub(crate) struct Open {
    /// The show file, or "demo" for the built-in show ("gym", "barn": the same show in two other rooms)
    pub(crate) show: String,
    /// Where to serve the page; an address of the network needs --lan
    #[arg(long, value_name = "ADDR:PORT")]
    pub(crate) listen: Option<SocketAddr>,
    /// Serve the page to the network as well, to browsers that are paired by a code; the first code gives this role
    #[arg(long, value_enum, value_name = "ROLE", num_args = 0..=1, require_equals = true,
        default_missing_value = "run", conflicts_with = "no_page")]
    pub(crate) lan: Option<Role>,
    /// A name by which browsers reach this machine, beside its addresses; may be given several times
    #[arg(long, value_name = "NAME", requires = "lan")]
    pub(crate) host: Vec<String>,
    /// Browsers of this machine have to pair as well: behind a tunnel or a proxy, or where others use this machine
    #[arg(long, requires = "lan")]
    pub(crate) everyone_pairs: bool,
    /// No page: lights only
    #[arg(long)]
    pub(crate) no_page: bool,
    /// Send sACN to a receiver's address, or "multicast"; may be given several times
    #[arg(long, value_name = "ADDR|multicast")]
    pub(crate) sacn: Vec<String>,
    /// Our own address on the network to send from
    #[arg(long, value_name = "ADDR")]
    pub(crate) interface: Option<Ipv4Addr>,
    /// Send Art-Net to a node's address, or "nodes" for those that answer a poll; may be given several times
    #[arg(long, value_name = "ADDR|nodes")]
    pub(crate) artnet: Vec<String>,
    /// Send through a USB serial adapter: PATH, or framed:PATH or bare:PATH to say what it is; PATH@2 for universe 2
    #[arg(long, value_name = "PATH")]
    pub(crate) usb: Vec<String>,
    /// Follow the music of: raw samples on standard input (-) or from a pipe (raw:PATH), 16 bit, little endian, mono, 48000 a
    /// second unless @RATE says otherwise; a sound file (file:PATH); an input of this machine (device, device:PART-OF-ITS-NAME,
    /// where it was built with it). The page can listen to a microphone without this (docs/music.md)
    #[arg(long, value_name = "WHAT", allow_hyphen_values = true)]
    pub(crate) ears: Option<String>,
    /// Look or chase that is on from the first moment
    #[arg(long, value_name = "LOOK-OR-CHASE")]
    pub(crate) start: Option<String>,
    /// Begin anew, and do not go on where the show was when it last ended unasked
    #[arg(long)]
    pub(crate) fresh: bool,
    /// The stand-in's lights hang as another show file says, whatever this one believes
    #[arg(long, value_name = "OTHER", conflicts_with = "askew")]
    pub(crate) stand_in: Option<String>,
    /// The stand-in's heads hang up to 7° and 15 cm off, some with pan running backwards, the same for the same seed:
    /// to practise sighting in
    #[arg(long, value_name = "SEED", num_args = 0..=1, default_missing_value = "1")]
    pub(crate) askew: Option<u64>,
    /// The stand-in's lights have these faults, to practise setting up: "swap 2 3; double 4 5; dead 7; mode 5; pan 6; tilt 1;
    /// address 8 120; broken A after 3" (docs/setup.md), or "random:SEED" for three that are not told
    #[arg(long, value_name = "FAULTS")]
    pub(crate) faults: Option<String>,
}

#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("change").args(["add", "undo"])))]
pub(crate) struct Sight {
    /// The show file, or "demo"
    pub(crate) show: String,
    /// This light alone
    #[arg(long, value_name = "NUMBER")]
    pub(crate) unit: Option<u32>,
    /// Keep a sight in the file: the beam of --unit is on this mark while --pan and --tilt are sent
    #[arg(long, value_name = "MARK", requires_all = ["unit", "pan", "tilt"])]
    pub(crate) add: Option<String>,
    /// What was sent for pan, 0 to 65535: coarse times 256 plus fine; for a coarse channel alone times 257
    #[arg(long, value_name = "VALUE", requires = "add")]
    pub(crate) pan: Option<u16>,
    /// What was sent for tilt, likewise
    #[arg(long, value_name = "VALUE", requires = "add")]
    pub(crate) tilt: Option<u16>,
    /// Take the last sight of --unit out of the file
    #[arg(long, requires = "unit")]
    pub(crate) undo: bool,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("step").args(["undo", "redo", "bookmark", "restore", "compare"])))]
pub(crate) struct History {
    /// The show file; its history lies beside it, NAME.history
    pub(crate) show: String,
    /// Go back before the last edit
    #[arg(long)]
    pub(crate) undo: bool,
    /// Go forward again to what was undone last
    #[arg(long)]
    pub(crate) redo: bool,
    /// Give the show as it is now a name to come back to
    #[arg(long, alias = "mark", value_name = "NAME")]
    pub(crate) bookmark: Option<String>,
    /// Make the show what it was at an entry: its number, or a bookmark
    #[arg(long, value_name = "ID|NAME")]
    pub(crate) restore: Option<String>,
    /// Say what differs from one entry to another: numbers, bookmarks, or "now"
    #[arg(long, num_args = 2, value_names = ["ID|NAME", "ID|NAME"])]
    pub(crate) compare: Option<Vec<String>>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = crate::run::new::rooms_and_lights())]
pub(crate) struct New {
    /// Name of the show: NAME.show.toml is written here
    pub(crate) name: String,
    /// What to start from: "small" (four lights on a bar), or a built-in show to change: "demo", "gym", "barn"
    #[arg(long, default_value = "small", value_parser = ["small", "demo", "gym", "barn"],
        conflicts_with_all = ["room", "lights", "empty"])]
    pub(crate) from: String,
    /// A first show made for this room, with --lights: its name from below, or metres: "12 x 18 x 5", "12 x 18 x 5, stage
    /// end 3 x 0.6" (or "stage side")
    #[arg(long, value_name = "ROOM", allow_hyphen_values = true)]
    pub(crate) room: Option<String>,
    /// A first show made for these lights, in --room: "4 small spot head, 4 RGBW par, 1 hazer"; a mode in brackets, "on"
    /// and a place behind it where that matters
    #[arg(long, value_name = "LIGHTS", requires = "room", conflicts_with = "empty")]
    pub(crate) lights: Option<String>,
    /// A room without a light, to begin in
    #[arg(long)]
    pub(crate) empty: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Carry {
    /// The show file to carry, or "demo", "gym", "barn"
    pub(crate) show: String,
    /// Where to: a show file with that room and its lights (it needs no looks), or "gym", "barn", "demo"
    #[arg(long, value_name = "ROOM-OR-RIG")]
    pub(crate) to: String,
    /// The file to write; it must not be there yet (usually SHOW-ROOM.show.toml)
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
    /// What a mark is there: another mark, a point in metres (X,Y,Z), or "none"; may be given several times
    #[arg(long, value_name = "MARK=MARK")]
    pub(crate) mark: Vec<String>,
    /// What a group is there: another group, numbers of lights, or "none"; may be given several times
    #[arg(long, value_name = "GROUP=GROUP")]
    pub(crate) group: Vec<String>,
    /// What a light is there: another number, several, a group, or "none"; may be given several times
    #[arg(long, value_name = "NUMBER=NUMBER")]
    pub(crate) light: Vec<String>,
    /// For machines; asks nothing
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Change {
    /// The show file
    pub(crate) show: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct Check {
    /// The show file, or "demo", "gym", "barn"
    pub(crate) show: String,
    /// Also what is for your information only
    #[arg(long)]
    pub(crate) all: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Profile {
    /// Read a manual's channel chart (text, or a PDF with text in it) or a fixture file into a profile, and ask what is in doubt
    Read(ProfileRead),
    /// Write a profile as a fixture file of the open standard (GDTF 1.2), and say what the format has no place for
    Write(ProfileWrite),
    /// List the kinds of light that are known: shipped, of your own, or those of a show; or those whose name holds a word
    List(ProfileList),
    /// Say everything that is known of a kind of light: facts, charts, four states to try, identity
    Show(ProfileShow),
    /// Say what is wrong with profile files and fixture files, with file and line
    Check(ProfileCheck),
    /// Put a profile into your own folder: a profile file, a chart, a fixture file
    Add(ProfileAdd),
    /// Say what differs between two descriptions of a light, in words
    Diff(ProfileDiff),
}

#[derive(Debug, Args)]
pub(crate) struct ProfileWrite {
    /// The light: its name in the library, a profile's file, or another fixture file
    pub(crate) profile: String,
    /// The file to write
    #[arg(short, long, value_name = "FILE.gdtf")]
    pub(crate) out: PathBuf,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ProfileList {
    /// Only those whose name, sort or mode holds this word
    pub(crate) word: Option<String>,
    /// The kinds of light of this show, and what the library has otherwise
    #[arg(long = "in", value_name = "SHOW")]
    pub(crate) within: Option<String>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ProfileShow {
    /// Name of the kind of light, or a profile file
    pub(crate) name: String,
    /// This mode alone
    #[arg(long, value_name = "MODE")]
    pub(crate) mode: Option<String>,
    /// As this show describes it
    #[arg(long = "in", value_name = "SHOW")]
    pub(crate) within: Option<String>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ProfileCheck {
    /// The profile files, or fixture files
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct ProfileAdd {
    /// The profile file, the chart's text, the PDF or the fixture file
    pub(crate) file: PathBuf,
    /// Take the place of another profile of that name, which is kept beside it
    #[arg(long)]
    pub(crate) replace: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ProfileDiff {
    /// Name of the kind of light, or a profile file. Alone: your own description of that name against the shipped one
    pub(crate) first: String,
    /// Name of the other, or a profile file
    #[arg(conflicts_with = "within")]
    pub(crate) second: Option<String>,
    /// What this show has under the first name, against what the library has
    #[arg(long = "in", value_name = "SHOW")]
    pub(crate) within: Option<String>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ProfileRead {
    /// The file: the chart's text as it was copied, a PDF, a GDTF file or its description.xml
    pub(crate) file: PathBuf,
    /// Answer a question by its id, as --json prints it; may be given several times
    #[arg(long, value_name = "ID=VALUE")]
    pub(crate) answer: Vec<String>,
    /// Write the profile to this file
    #[arg(short, long, value_name = "PROFILE.toml")]
    pub(crate) out: Option<PathBuf>,
    /// What the profile is called; left out: as the file
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Plan {
    /// The show file, or "demo", "gym", "barn"
    pub(crate) show: String,
    /// Try a change and say what it would change, without saving: add:PROFILE@PLACE[:COUNT], without:N, mode:N=NAME,
    /// circuit:N=NAME, volts:120; may be given several times
    #[arg(long, value_name = "CHANGE")]
    pub(crate) what_if: Vec<String>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("to").required(true).multiple(true).args(["out", "svg", "csv"])))]
pub(crate) struct Sheets {
    /// The show file, or "demo", "gym", "barn"
    pub(crate) show: String,
    /// The PDF to write
    #[arg(short, long, value_name = "FILE.pdf")]
    pub(crate) out: Option<PathBuf>,
    /// These sheets alone: plan, elevation, patch, power, data, weight, cables, packing, cues, cards, labels, cautions
    #[arg(long, value_name = "NAME,NAME", value_delimiter = ',')]
    pub(crate) only: Vec<String>,
    /// What it is printed on
    #[arg(long, value_enum, default_value = "a4")]
    pub(crate) paper: PaperSize,
    /// Large print, 14 points and more
    #[arg(long)]
    pub(crate) large: bool,
    /// Labels on a sheet: 24 (70 × 37 mm) or 21 (63.5 × 38.1 mm) on A4, 30 (2⅝ × 1 in) on Letter
    #[arg(long, value_name = "COUNT")]
    pub(crate) labels: Option<u32>,
    /// Where phones reach the machine ("http://192.0.2.10:7411"): the labels' QR codes lead to the light there
    #[arg(long, value_name = "URL")]
    pub(crate) url: Option<String>,
    /// Write plan and elevation into this folder as SVG
    #[arg(long, value_name = "DIR")]
    pub(crate) svg: Option<PathBuf>,
    /// Write the tables into this folder as CSV (RFC 4180)
    #[arg(long, value_name = "DIR")]
    pub(crate) csv: Option<PathBuf>,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum PaperSize {
    /// 210 × 297 mm
    A4,
    /// 8½ × 11 inches
    Letter,
}

#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("when").required(true).args(["at", "from"])))]
pub(crate) struct Frames {
    /// The show file, or "demo", "gym", "barn"
    pub(crate) show: String,
    /// The moment: seconds since the start ("12.5", "12.5s", "1:30")
    #[arg(long, value_name = "TIME", value_parser = moment)]
    pub(crate) at: Option<Instant>,
    /// The first of several moments
    #[arg(long, value_name = "TIME", value_parser = moment, requires = "to")]
    pub(crate) from: Option<Instant>,
    /// The last of them; one frame for every tick of 25 ms in between
    #[arg(long, value_name = "TIME", value_parser = moment, requires = "from")]
    pub(crate) to: Option<Instant>,
    /// Follow the music of: raw samples on standard input (-) or from a pipe (raw:PATH), 16 bit, little endian, mono, 48000 a
    /// second unless @RATE says otherwise; a sound file (file:PATH); an input of this machine (device, device:PART-OF-ITS-NAME,
    /// where it was built with it). The page can listen to a microphone without this (docs/music.md)
    #[arg(long, value_name = "WHAT", allow_hyphen_values = true)]
    pub(crate) ears: Option<String>,
    /// Look or chase that is on from the first moment
    #[arg(long, value_name = "LOOK-OR-CHASE")]
    pub(crate) start: Option<String>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Watch {
    /// Universes to listen for by multicast: "1", "1-4", "1,7"
    #[arg(long, value_name = "UNIVERSES", default_value = "1-4", value_parser = universes)]
    pub(crate) universes: Universes,
    /// Our own address on the network to listen on
    #[arg(long, value_name = "ADDR")]
    pub(crate) interface: Option<Ipv4Addr>,
    /// Stop by itself after so many seconds
    #[arg(long = "for", value_name = "SECONDS", value_parser = moment)]
    pub(crate) duration: Option<Instant>,
    /// One line of JSON a second, for machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Listen {
    /// Sound files
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
    /// As it would be heard live: nothing rests on what comes later
    #[arg(long)]
    pub(crate) live: bool,
    /// Write NAME.beats, NAME.onsets, NAME.sections and timing.json into this folder
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Draw each file into this folder as SVG: its sound, beats, bars, parts and loudness
    #[arg(long, value_name = "DIR")]
    pub(crate) svg: Option<PathBuf>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Score {
    /// The sound file
    pub(crate) file: PathBuf,
    /// The show file that it is laid from and kept in
    #[arg(long, value_name = "SHOW")]
    pub(crate) show: String,
    /// What the score is called; usually as the file
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// Take the place of the score of that name; the history keeps the old one
    #[arg(long)]
    pub(crate) again: bool,
    /// Draw it into this file as SVG: sound, bars, sections, and what is on
    #[arg(long, value_name = "PATH")]
    pub(crate) svg: Option<PathBuf>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Lux {
    /// The show file, or "demo"
    pub(crate) show: String,
    /// Which look, with its fade over and every motor arrived
    #[arg(long, value_name = "NAME")]
    pub(crate) look: String,
    /// On what it is measured
    #[arg(long, value_enum, default_value = "level")]
    pub(crate) plane: LuxPlane,
    /// Above floor and platforms, metres; usually 0 for level, 1.5 for faces (1.2: people who sit)
    #[arg(long, value_name = "METRES")]
    pub(crate) height: Option<f64>,
    /// Write the page (SVG, A4) to this file instead of printing it
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

/// What a light level is measured on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum LuxPlane {
    /// Facing up
    Level,
    /// Upright, turned to the audience
    Face,
}

#[derive(Debug, Args)]
pub(crate) struct Ies {
    /// The file of ANSI/IES LM-63, as the maker of the light gives it out
    pub(crate) file: PathBuf,
    /// Put it into this profile's file, every other byte as it was
    #[arg(long, value_name = "PROFILE.toml", conflicts_with = "json")]
    pub(crate) attach: Option<PathBuf>,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Import {
    /// The file: a rig file (.mvr), or a table with the columns number, universe, address, mode (.csv)
    pub(crate) file: PathBuf,
    /// For a rig: the name of the new show, NAME.show.toml. For a table: the show file that it is about
    pub(crate) show: String,
    /// For a table: do it. Otherwise it is only told what would change
    #[arg(long)]
    pub(crate) write: bool,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Export {
    /// The show file, or "demo", "gym", "barn"
    pub(crate) show: String,
    /// The file to write: NAME.mvr, or a table by its name: patch.csv, power.csv, data.csv, weight.csv, cables.csv, cues.csv
    #[arg(short, long, value_name = "FILE")]
    pub(crate) out: PathBuf,
    /// For machines
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Calc {
    /// What to compute; docs/calculators.md has the schemas
    pub(crate) what: Calculator,
}

/// The calculators.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub(crate) enum Calculator {
    /// Emitter levels for a colour
    Colour,
    /// Illuminance of beams, alone and together
    Beam,
    /// Pan and tilt for a point
    Aim,
    /// Where a light hangs, from sights on marks
    Sight,
    /// How long moves take
    Motion,
    /// The plan's sums: power, circuits, leads, weight, noise, addresses, cables (the key "task" says which)
    Plan,
}

/// Universes to listen for.
#[derive(Clone, Debug)]
pub(crate) struct Universes(pub(crate) Vec<Universe>);

impl Open {
    /// The outputs that the options ask for.
    pub(crate) fn outputs(&self) -> Result<Vec<OutputSpec>, String> {
        let mut outputs = Vec::new();
        for text in &self.sacn {
            let to = receiver(text, "multicast", lanthorn_dmx::sacn::PORT)
                .map_err(|why| format!("--sacn {text}: {why}, or \"multicast\""))?;
            outputs.push(OutputSpec::Sacn { to, interface: self.interface });
        }
        for text in &self.artnet {
            let to = receiver(text, "nodes", lanthorn_dmx::artnet::PORT).map_err(|why| {
                format!("--artnet {text}: {why}, or \"nodes\" for those that answer a poll")
            })?;
            outputs.push(OutputSpec::ArtNet { to, interface: self.interface });
        }
        for text in &self.usb {
            outputs.push(usb(text)?);
        }
        Ok(outputs)
    }
}

/// An address with or without a port; `everyone` is no address.
fn receiver(text: &str, everyone: &str, port: u16) -> Result<Option<SocketAddr>, String> {
    if text.eq_ignore_ascii_case(everyone) {
        return Ok(None);
    }
    if let Ok(address) = text.parse::<IpAddr>() {
        return Ok(Some(SocketAddr::new(address, port)));
    }
    text.parse().map(Some).map_err(|_| "write an address such as 10.0.0.7".to_owned())
}

fn usb(text: &str) -> Result<OutputSpec, String> {
    let (kind, rest) = match text.split_once(':') {
        Some(("framed", rest)) => (Some(UsbKind::Framed), rest),
        Some(("bare", rest)) => (Some(UsbKind::Bare), rest),
        _ => (None, text),
    };
    let (path, universe) = match rest.rsplit_once('@') {
        Some((path, number)) => {
            let number =
                number.parse().map_err(|_| format!("--usb {text}: after @ write a universe's number"))?;
            let universe = Universe::new(number).map_err(|why| format!("--usb {text}: {why}"))?;
            (path, Some(universe))
        }
        None => (rest, None),
    };
    if path.is_empty() {
        return Err(format!("--usb {text}: write the device's path, such as /dev/ttyUSB0"));
    }
    Ok(OutputSpec::Usb { path: PathBuf::from(path), kind, universe })
}

/// "12.5", "12.5s", "1:30", "1:02:30".
fn moment(text: &str) -> Result<Instant, String> {
    let wrong = || format!("\"{text}\" is no time; write seconds (12.5) or minutes and seconds (1:30)");
    let mut secs = 0.0;
    for part in text.trim().trim_end_matches('s').split(':') {
        let part: f64 = part.trim().parse().map_err(|_| wrong())?;
        if !part.is_finite() || part < 0.0 {
            return Err(wrong());
        }
        secs = secs * 60.0 + part;
    }
    if secs > 86_400.0 {
        return Err(format!("\"{text}\" is more than a day"));
    }
    Ok(Instant::from_secs(secs))
}

/// "1", "1-4", "1,7".
fn universes(text: &str) -> Result<Universes, String> {
    let number = |part: &str| {
        let number: u32 = part.trim().parse().map_err(|_| format!("\"{part}\" is no universe's number"))?;
        Universe::new(number).map_err(|why| why.to_string())
    };
    let mut list = Vec::new();
    for part in text.split(',') {
        match part.split_once('-') {
            Some((first, last)) => {
                let (first, last) = (number(first)?, number(last)?);
                if last.number().saturating_sub(first.number()) >= 100 {
                    return Err("no more than a hundred universes at a time".to_owned());
                }
                for n in first.number()..=last.number() {
                    list.extend(Universe::new(u32::from(n)));
                }
            }
            None => list.push(number(part)?),
        }
    }
    list.sort_unstable();
    list.dedup();
    Ok(Universes(list))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_sound() {
        use clap::CommandFactory;
        CommandLine::command().debug_assert();
    }

    #[test]
    fn times() {
        for (text, secs) in [("0", 0.0), ("12.5", 12.5), ("12.5s", 12.5), ("1:30", 90.0), ("1:00:01", 3601.0)]
        {
            assert_eq!(moment(text), Ok(Instant::from_secs(secs)), "{text}");
        }
        for bad in ["", "soon", "-1", "1:x", "NaN", "inf", "99:00:00"] {
            assert!(moment(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn outputs() {
        let open = |args: &[&str]| {
            let line = CommandLine::try_parse_from(["lanthorn", "open", "demo"].iter().chain(args)).unwrap();
            let Some(Command::Open(open)) = line.command else { panic!("not open") };
            open.outputs()
        };
        assert_eq!(open(&[]).unwrap(), []);
        assert_eq!(
            open(&["--sacn", "multicast", "--artnet", "10.0.0.7", "--usb", "bare:/dev/ttyUSB0@2"]).unwrap(),
            [
                OutputSpec::Sacn { to: None, interface: None },
                OutputSpec::ArtNet { to: Some("10.0.0.7:6454".parse().unwrap()), interface: None },
                OutputSpec::Usb {
                    path: "/dev/ttyUSB0".into(),
                    kind: Some(UsbKind::Bare),
                    universe: Some(Universe::new(2).unwrap())
                },
            ]
        );
        assert!(open(&["--sacn", "somewhere"]).unwrap_err().contains("10.0.0.7"));
        assert!(open(&["--usb", "/dev/ttyUSB0@0"]).unwrap_err().contains("1 to 63999"));
    }
}
