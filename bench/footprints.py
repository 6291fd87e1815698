"""Footprints of fixture files as pygdtf has them: for each file of a folder, for each mode, the highest address of each DMX
break. Writes them as JSON."""

import json
import sys
from pathlib import Path

import pygdtf


def footprint(mode):
    highest = {}
    for channel in mode.dmx_channels:
        if channel.offset:
            highest[channel.dmx_break] = max(highest.get(channel.dmx_break, 0), max(channel.offset))
    return [highest[number] for number in sorted(highest)]


files = sorted(Path(sys.argv[1]).glob("*.gdtf"))
json.dump([[footprint(mode) for mode in pygdtf.FixtureType(str(file)).dmx_modes] for file in files], sys.stdout)
