"""The same work as benches/beside.rs in Python: numpy and scipy for aim, sight, colour and light level, colour-science for
whites. Reads cases as JSON on standard input; writes seconds a solve and the answers, so that both sides can be seen to
have done the same work."""

import json
import sys
import time

import numpy as np
from scipy.optimize import least_squares, linprog
from scipy.spatial.transform import Rotation


def timed(solve, cases, budget):
    """Median of rounds, seconds for one case, and the answers."""
    answers = [solve(case) for case in cases]
    rounds, begun = [], time.perf_counter()
    while time.perf_counter() - begun < budget or len(rounds) < 3:
        start = time.perf_counter()
        for case in cases:
            solve(case)
        rounds.append((time.perf_counter() - start) / len(cases))
    return {"seconds": float(np.median(rounds)), "answers": answers}


# Aim: every pan and tilt inside the travel.


def aim(case):
    d = np.array(case["target"]) - np.array(case["pivot"])
    d = np.array(case["R"]).T @ (d / np.linalg.norm(d))
    tilt = np.arctan2(np.hypot(d[0], d[1]), -d[2])
    low, high = case["pan_range"]
    found = []
    for sign in (1.0, -1.0):
        pan = np.arctan2(-sign * d[0], sign * d[1])
        turns = np.arange(np.ceil((low - pan) / (2 * np.pi)), np.floor((high - pan) / (2 * np.pi)) + 1)
        if case["tilt_range"][0] <= sign * tilt <= case["tilt_range"][1]:
            found += [(float(pan + 2 * np.pi * turn), float(sign * tilt)) for turn in turns]
    return sorted(found)


# Colour: most light at a chromaticity, as a linear program.


def colour(case):
    x, y = case["xy"]
    xyz = np.array([[e[0] / e[1] * e[2], e[2], (1 - e[0] - e[1]) / e[1] * e[2]] for e in case["emitters"]])
    total = xyz.sum(axis=1)
    rows = np.array([xyz[:, 0] - x * total, xyz[:, 1] - y * total])
    found = linprog(-xyz[:, 1], A_eq=rows, b_eq=[0.0, 0.0], bounds=(0.0, 1.0), method="highs")
    return float(-found.fun) if found.success else None


# White: chromaticity of a colour temperature with tint.


def white(case):
    from colour.temperature import CCT_to_uv_Ohno2013

    u, v = CCT_to_uv_Ohno2013([case["kelvin"], case["duv"]])
    d = 2 * u - 8 * v + 4
    return [float(3 * u / d), float(2 * v / d)]


# Light level: lux on a grid from several beams that fall off as a Gaussian, all at once in arrays.


def level(case):
    points = np.array(case["points"])
    total = np.zeros(len(points))
    for beam in case["beams"]:
        way = points - np.array(beam["from"])
        distance = np.linalg.norm(way, axis=1)
        off = np.arccos(np.clip(way @ np.array(beam["along"]) / distance, -1, 1))
        intensity = beam["peak"] * 2.0 ** (-((2 * off / beam["beam"]) ** 2))
        total += intensity * -way[:, 2] / distance**3
    return float(total.sum())


# Sight: where a light hangs, its position known to a few centimetres. Rotation in closed form for each sign of pan, then
# least squares with priors; every mark left out in turn; scales fixed and free; the shortest description wins.

SIGMA = np.radians(0.5)


def beam(pan, tilt):
    return np.stack([-np.sin(pan) * np.sin(tilt), np.cos(pan) * np.sin(tilt), -np.cos(tilt)], axis=-1)


def sight(case):
    marks, sent, place = (np.array(case[key]) for key in ("marks", "sent", "position"))
    count = len(marks)
    best = None
    for sign in (1.0, -1.0):
        for left_out in [None, *range(count)]:
            kept = np.array([index for index in range(count) if index != left_out])
            way = marks[kept] - place
            way /= np.linalg.norm(way, axis=1)[:, None]
            start, _ = Rotation.align_vectors(way, beam(sign * sent[kept, 0], sent[kept, 1]))
            for free in (False, True):
                unknowns = np.zeros(9 if free else 7)

                def residuals(u):
                    pan_scale, tilt_scale = (np.exp(u[7]), np.exp(u[8])) if free else (1.0, 1.0)
                    d = beam(sign * pan_scale * sent[kept, 0], tilt_scale * sent[kept, 1] + u[3])
                    d = (start * Rotation.from_rotvec(u[:3])).apply(d)
                    to = marks[kept] - place - u[4:7]
                    to = to / np.linalg.norm(to, axis=1)[:, None]
                    prior = [u[3] / np.radians(4.0), *(u[4:7] / case["position_sd"]), *(u[7:] / 0.15)]
                    return np.concatenate([((d - to) / SIGMA).ravel(), prior])

                found = least_squares(residuals, unknowns, method="lm")
                length = 2 * found.cost + (2 * np.log(2 * count) if free else 0.0)
                if left_out is not None:
                    length += 2 * np.log(4 * np.pi / SIGMA**2)
                if best is None or length < best[0]:
                    best = (length, sign < 0, left_out)
    return {"inverted": bool(best[1]), "left_out": best[2]}


def main():
    work = json.load(sys.stdin)
    budget = work["budget"]
    done = {"versions": {"numpy": np.__version__}}
    for name, solve in (("aim", aim), ("sight", sight), ("colour", colour), ("level", level)):
        done[name] = timed(solve, work[name], budget)
    try:
        import colour as science

        done["versions"]["colour-science"] = science.__version__
        done["white"] = timed(white, work["white"], budget)
    except ImportError:
        pass
    import scipy

    done["versions"]["scipy"] = scipy.__version__
    json.dump(done, sys.stdout)


main()
