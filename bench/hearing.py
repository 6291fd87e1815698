"""The same files as benches/hearing.rs with the beat trackers of other libraries, and mir_eval's measures of all. Reads
JSON on standard input, writes rows of figures. What is not installed is left out."""

import json
import sys
import time
import wave

import mir_eval
import numpy as np


def sound(path):
    with wave.open(path) as file:
        rate, frames = file.getframerate(), file.readframes(file.getnframes())
    return rate, (np.frombuffer(frames, "<i2") / 32768.0).astype(np.float32)


def by_aubio(rate, samples):
    import aubio

    tempo = aubio.tempo("default", 1024, 512, rate)
    blocks = (samples[at : at + 512] for at in range(0, len(samples) - 511, 512))
    return [tempo.get_last_s() for block in blocks if tempo(block)]


def by_librosa(rate, samples):
    import librosa

    return librosa.beat.beat_track(y=samples, sr=rate, units="time")[1].tolist()


def by_essentia(rate, samples):
    import essentia.standard as es

    return es.RhythmExtractor2013(method="multifeature")(samples)[1].tolist()


def measures(truths, founds):
    f, amlt = [], []
    for truth, found in zip(truths, founds):
        truth, found = (mir_eval.beat.trim_beats(np.array(beats, float)) for beats in (truth, found))
        if len(truth) < 2:
            continue
        f.append(mir_eval.beat.f_measure(truth, found) if len(found) else 0.0)
        amlt.append(mir_eval.beat.continuity(truth, found)[3] if len(found) > 1 else 0.0)
    return {"f": float(np.mean(f)), "amlt": float(np.mean(amlt))}


def main():
    given = json.load(sys.stdin)
    truths = [file["beats"] for file in given["files"]]
    sounds = [sound(file["path"]) for file in given["files"]]
    rows = [{"name": own["name"], "cpu": own["cpu"], **measures(truths, own["beats"])} for own in given["ours"]]
    versions = []
    for name, track in (("aubio", by_aubio), ("librosa", by_librosa), ("essentia", by_essentia)):
        try:
            track(sounds[0][0], sounds[0][1][: sounds[0][0] * 8])  # warmed up
        except ImportError:
            continue
        began = time.process_time()
        founds = [track(rate, samples) for rate, samples in sounds]
        cpu = time.process_time() - began
        how = "as it goes" if name == "aubio" else "looking back"
        rows.append({"name": f"{name}, {how}", "cpu": cpu, **measures(truths, founds)})
        versions.append(name)
    json.dump({"versions": ", ".join(versions) or "nothing", "rows": rows}, sys.stdout)


main()
