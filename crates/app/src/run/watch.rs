//! `lanthorn watch`

use std::collections::BTreeMap;
use std::io::Write;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::Context;
use lanthorn_dmx::artnet::{self, ArtDmx};
use lanthorn_dmx::sacn::Receiver;
use lanthorn_live::Clock;
use lanthorn_live::input::{Ears, Heard};
use lanthorn_physics::{Instant, Span};
use serde::Serialize;

use super::Failure;
use crate::command::Watch;

/// A picture of what arrives is printed this often.
const EVERY: Span = Span::from_millis(1000);
/// A source that says nothing for so long is gone (E1.31-2018: 2.5 s).
const LOST: Span = Span::from_millis(2500);
/// Art-Net sources kept at most.
const MOST_STREAMS: usize = 1024;

/// One stream of levels.
#[derive(Debug, Serialize)]
struct Stream {
    protocol: &'static str,
    universe: u16,
    source: String,
    from: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    priority: Option<u8>,
    packets: u64,
    slots: Vec<u8>,
}

/// Art-Net, which has no receiver of its own in `dmx`: newest levels by port-address and sender.
#[derive(Default)]
struct ArtNetStreams(BTreeMap<(u16, SocketAddr), (Vec<u8>, u64, Instant)>);

/// Shows what arrives until Ctrl-C, or for as long as asked.
pub(crate) fn run(options: &Watch) -> Result<(), Failure> {
    let ears =
        Ears::open(options.universes.0.iter().copied(), options.interface).context("watch the network")?;
    let stop = Arc::new(AtomicBool::new(false));
    signal_hook::flag::register(signal_hook::consts::SIGINT, stop.clone()).context("hear Ctrl-C")?;
    signal_hook::flag::register(signal_hook::consts::SIGTERM, stop.clone()).context("hear Ctrl-C")?;
    if !ears.hears_artnet() {
        eprintln!("Art-Net is not heard: another program has its port to itself");
    }
    let clock = Clock::start();
    let mut receiver = Receiver::new();
    let mut artnet = ArtNetStreams::default();
    let mut next = clock.now() + EVERY;
    while !stop.load(Ordering::Acquire) {
        let now = clock.now();
        ears.hear(|heard| match heard {
            Heard::Sacn(bytes, from) => {
                // What is no sACN is nothing to watch.
                let _ = receiver.handle(bytes, from, now);
            }
            Heard::ArtNet(bytes, from) => artnet.take(bytes, from, now),
        });
        receiver.expire(now);
        artnet.expire(now);
        let over = options.duration.is_some_and(|end| now >= end);
        if now >= next || over {
            print(options.json, now, &streams(&receiver, &artnet))?;
            next = next + EVERY;
        }
        if over {
            break;
        }
        clock.sleep_until(now + Span::from_millis(5));
    }
    Ok(())
}

impl ArtNetStreams {
    fn take(&mut self, bytes: &[u8], from: SocketAddr, now: Instant) {
        let Ok(artnet::Packet::Dmx(ArtDmx { address, slots, .. })) = artnet::Packet::parse(bytes) else {
            return;
        };
        let key = (address.number(), from);
        if self.0.len() >= MOST_STREAMS && !self.0.contains_key(&key) {
            return;
        }
        let (levels, packets, heard) = self.0.entry(key).or_insert_with(|| (Vec::new(), 0, now));
        levels.clear();
        levels.extend_from_slice(slots);
        *packets += 1;
        *heard = now;
    }

    fn expire(&mut self, now: Instant) {
        self.0.retain(|_, (_, _, heard)| now - *heard < LOST);
    }
}

fn streams(receiver: &Receiver, artnet: &ArtNetStreams) -> Vec<Stream> {
    let mut streams: Vec<Stream> = Vec::new();
    for source in receiver.sources() {
        streams.push(Stream {
            protocol: "sACN",
            universe: source.universe.number(),
            source: source.name.clone(),
            from: source.from.ip().to_string(),
            priority: Some(source.priority.number()),
            packets: source.packets,
            slots: source
                .levels
                .map(|(frame, used)| frame.0[..usize::from(used)].to_vec())
                .unwrap_or_default(),
        });
    }
    for ((port_address, from), (slots, packets, _)) in &artnet.0 {
        streams.push(Stream {
            protocol: "Art-Net",
            universe: port_address + 1,
            source: format!(
                "port-address {}:{}:{}",
                port_address >> 8,
                port_address >> 4 & 15,
                port_address & 15
            ),
            from: from.ip().to_string(),
            priority: None,
            packets: *packets,
            slots: slots.clone(),
        });
    }
    streams.sort_by(|a, b| (a.universe, a.protocol, &a.from).cmp(&(b.universe, b.protocol, &b.from)));
    streams
}

fn print(json: bool, now: Instant, streams: &[Stream]) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    if json {
        #[derive(Serialize)]
        struct Line<'a> {
            at_s: f64,
            streams: &'a [Stream],
        }
        let line = Line { at_s: now.secs(), streams };
        serde_json::to_writer(&mut out, &line).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    writeln!(out, "{:.0} s", now.secs())?;
    if streams.is_empty() {
        writeln!(out, "  nothing arrives")?;
    }
    for stream in streams {
        let priority = stream.priority.map(|p| format!(", priority {p}")).unwrap_or_default();
        writeln!(
            out,
            "  universe {} by {} from {} ({}{priority}), {} packets",
            stream.universe, stream.protocol, stream.from, stream.source, stream.packets
        )?;
        for (row, slots) in stream.slots.chunks(16).enumerate() {
            if slots.iter().any(|&slot| slot != 0) {
                let values: String = slots.iter().map(|slot| format!(" {slot:3}")).collect();
                writeln!(out, "    {:3}:{values}", row * 16 + 1)?;
            }
        }
    }
    out.flush()?;
    Ok(())
}
