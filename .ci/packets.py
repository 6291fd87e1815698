"""Compares captured packets with the channel values that they should carry. Called by packets.sh."""

import json
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

try:
    from sacn.messages.data_packet import DataPacket
except ImportError:
    DataPacket = None

TERMINATED = 0x40  # ANSI E1.31-2018 6.2.6
MOST_A_SECOND = 44  # ANSI E1.31-2018 6.6.1, from ANSI E1.11
TICK = 0.025
BUSY = 75  # exit status: try again
# sACN is a disabled heuristic in tshark 4.0, and its levels are off by default.
SACN = ["--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE", "-Y", "acn.dmx.universe"]


def fields(capture, options, names):
    """One list of texts for each packet."""
    wanted = [word for name in names for word in ("-e", name)]
    command = ["tshark", "-r", str(capture), *options, "-T", "fields", *wanted]
    out = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    return [line.split("\t") for line in out.splitlines()]


def sacn(capture):
    """(time, universe, sequence, options, slots, cid) of every sACN data packet."""
    names = ["frame.time_epoch", "acn.dmx.universe", "acn.dmx.seq_number", "acn.dmx.options", "acn.cid",
             "acn.dmx.priority", "acn.dmx.start_code2", "acn.dmx.count", "udp.payload"]
    for time, universe, sequence, options, cid, priority, start, count, payload in fields(capture, SACN, names):
        payload = bytes.fromhex(payload)
        expect((int(priority), int(start, 0), int(count, 0)) == (100, 0, 513), f"sACN header {priority} {start} {count}")
        slots = list(payload[126:])
        if DataPacket is not None:
            again = DataPacket.make_data_packet(tuple(payload))
            expect(list(again.dmxData) == slots, "the two sACN decoders disagree about the slots")
            expect((again.universe, again.sequence) == (int(universe), int(sequence)), "the two sACN decoders disagree")
        yield float(time), int(universe), int(sequence), int(options, 0), slots, cid


def artnet(capture):
    """(time, universe, sequence, slots) of every ArtDmx packet; port-address 0 is universe 1."""
    names = ["frame.time_epoch", "artnet.header.protver", "artnet.output.universe", "artnet.output.sequence",
             "artnet.output.length", "dmx_chan.data_filter"]
    for time, version, port, sequence, length, slots in fields(capture, ["-Y", "artnet.output"], names):
        expect((int(version), int(length)) == (14, 512), f"Art-Net header {version} {length}")
        yield float(time), int(port, 0) + 1, int(sequence, 0), list(bytes.fromhex(slots.replace(":", "")))


def compare(name, packets, frames):
    """Every packet carries a frame of the table, in the table's order. Gives the last tick that was seen."""
    tick, before, longest = 0, packets[0][0], 0.0
    for at, slots in packets:
        longest, before = max(longest, at - before), at
        found = next((later for later in range(tick, len(frames)) if frames[later] == slots), None)
        if found is None and longest > 2 * TICK:
            # A tick that would come far too late is left out, and motors then go on from elsewhere: nothing to compare.
            print(f"packets: {name}: this computer was busy for {longest:.3f} s")
            sys.exit(BUSY)
        if found is None:
            now = frames[tick]
            other = [(slot + 1, slots[slot], now[slot]) for slot in range(512) if slots[slot] != now[slot]]
            expect(False, f"{name}: at {at:.3f} (after tick {tick}) slots that no frame has: slot, sent, frame {other[:8]}")
        tick = found
    return tick


def pace(name, times):
    """Never more than the limit in any second."""
    for index, time in enumerate(times):
        within = sum(1 for later in times[index:index + MOST_A_SECOND + 8] if later < time + 1)
        expect(within <= MOST_A_SECOND, f"{name}: {within} packets within a second")


def keep_alive(name, packets):
    """After three equal packets the gap is 0.8 to 1.0 s. Gives how many such gaps there were."""
    gaps = 0
    for index in range(3, len(packets)):
        before = [slots for _, slots in packets[index - 3:index + 1]]
        if all(slots == before[0] for slots in before):
            gap = packets[index][0] - packets[index - 1][0]
            expect(0.8 <= gap <= 1.0, f"{name}: keep-alive after {gap:.3f} s")
            gaps += 1
    return gaps


def check(work, run):
    """One run; gives the sender's CID."""
    capture = work / f"{run}.pcapng"
    table = json.loads((work / f"{run}.json").read_text())["frames"]
    frames = defaultdict(list)
    for frame in table:
        for universe in frame["universes"]:
            frames[universe["universe"]].append(universe["slots"])

    live, ended, cids = defaultdict(list), defaultdict(int), set()
    order = defaultdict(list)
    for time, universe, sequence, options, slots, cid in sacn(capture):
        cids.add(cid)
        expect(len(cids) == 1, f"{run}: more than one sender is heard: {cids}")
        order["sACN", universe].append(sequence)
        if options & TERMINATED:
            ended[universe] += 1
        else:
            expect(ended[universe] == 0, f"universe {universe}: levels after the end of the stream")
            live["sACN", universe].append((time, slots))
    for time, universe, sequence, slots in artnet(capture):
        order["Art-Net", universe].append(sequence)
        live["Art-Net", universe].append((time, slots))

    expect(cids, f"{run}: no sACN was heard")
    expect({universe for _, universe in live} == set(frames), f"{run}: universes {sorted(live)}, not {sorted(frames)}")
    gaps = 0
    for (protocol, universe), packets in sorted(live.items()):
        name = f"{run}, {protocol} universe {universe}"
        last = compare(name, packets, frames[universe])
        pace(name, [time for time, _ in packets])
        gaps += keep_alive(name, packets)
        sequence = order[protocol, universe]
        step = (lambda n: (n + 1) % 256) if protocol == "sACN" else (lambda n: n % 255 + 1)
        expect(all(step(a) == b for a, b in zip(sequence, sequence[1:])), f"{name}: sequence {sequence[:20]}")
        print(f"packets: {name}: {len(packets)} packets, every slot as printed, up to {last * TICK:.2f} s")
    for universe in frames:
        expect(ended[universe] == 3, f"{run}: universe {universe} ended with {ended[universe]} terminated packets, not 3")
    moved = sum(1 for packets in live.values() for a, b in zip(packets, packets[1:]) if a[1] != b[1])
    return cids.pop(), gaps, moved


def expect(true, words):
    if not true:
        sys.exit(f"packets: {words}")


def main():
    work, runs = Path(sys.argv[1]), sys.argv[2:]
    results = {run: check(work, run) for run in runs}
    expect(len({cid for cid, _, _ in results.values()}) == 1, f"the CID changed between runs: {results}")
    expect(results["moving"][2] > 100, "nothing moved in the run that should move")
    expect(results["still"][1] >= 4, "too few keep-alives in the run that should stand still")
    print("packets: one CID over all runs, three terminated packets each, keep-alives in time"
          + ("" if DataPacket else " (tshark alone decoded)"))


main()
