"""The networks' forward pass in plain numpy, apart from Rust and from PyTorch: writes what they say of a piece, for the
test that Rust says the same.

    python3 forward.py WEIGHTS FRAMES CHECK

FRAMES: packed frames as `lanthorn-training` writes them (the first 600 that are not silent are taken). CHECK: those frames,
then seven half-open probabilities of each as 32-bit floats."""
import struct, sys
import numpy as np

BANDS = 64


def read(path):
    b, state = open(path, "rb").read(), {}
    count, at = struct.unpack_from("<I", b, 8)[0], 12
    for _ in range(count):
        n = b[at]; name = b[at + 1:at + 1 + n].decode(); at += 1 + n
        d = b[at]; shape = struct.unpack_from(f"<{d}I", b, at + 1); at += 1 + 4 * d
        size = int(np.prod(shape))
        state[name] = np.frombuffer(b, "<f2", size, at).astype(np.float64).reshape(shape); at += 2 * size
    return state


def conv(x, w, b):                              # inputs, time, bands (padded)
    out = np.zeros((w.shape[0], x.shape[1] - w.shape[2] + 1, x.shape[2] - w.shape[3] + 1))
    for t in range(w.shape[2]):
        for f in range(w.shape[3]):
            out += np.einsum("oi,itb->otb", w[:, :, t, f], x[:, t:t + out.shape[1], f:f + out.shape[2]])
    return out + b[:, None, None]


def elu(x): return np.where(x > 0, x, np.expm1(np.minimum(x, 0)))
def sigmoid(x): return 1 / (1 + np.exp(-x))
def pool(x): return np.maximum(x[..., ::2], x[..., 1::2])


def gru(x, s, name, way=""):
    wi, wh, bi, bh = (s[f"{name}.{k}_l0{way}"] for k in ("weight_ih", "weight_hh", "bias_ih", "bias_hh"))
    n, h, out = wh.shape[1], np.zeros(wh.shape[1]), []
    for row in (x[::-1] if way else x):
        i, m = wi @ row + bi, wh @ h + bh
        r, z = sigmoid(i[:n] + m[:n]), sigmoid(i[n:2 * n] + m[n:2 * n])
        h = (1 - z) * np.tanh(i[2 * n:] + r * m[2 * n:]) + z * h
        out.append(h)
    return np.array(out[::-1] if way else out)


def said(s, frames):
    x = frames.astype(np.float64) / 42 - 3
    x = np.pad(x[None], ((0, 0), (4, 0), (2, 2)), constant_values=-3)
    x = pool(elu(conv(x, s["c1.weight"], s["c1.bias"])))
    x = np.pad(x, ((0, 0), (2, 0), (1, 1)))
    x = pool(elu(conv(x, s["c2.weight"], s["c2.bias"])))
    x = x.transpose(1, 0, 2).reshape(x.shape[1], -1)
    x = elu(x @ s["inner.weight"].T + s["inner.bias"])
    for name in ("first", "second"):
        ways = [""] + (["_reverse"] if f"{name}.weight_ih_l0_reverse" in s else [])
        x = np.concatenate([gru(x, s, name, way) for way in ways], axis=1)
    return sigmoid(x @ s["out.weight"].T + s["out.bias"])


if __name__ == "__main__":
    frames = np.fromfile(sys.argv[2], np.uint8).reshape(-1, BANDS)
    frames = frames[np.argmax(frames.any(axis=1)):][:600]
    out = said(read(sys.argv[1]), frames)
    print("most said of each:", out.max(0).round(3))
    open(sys.argv[3], "wb").write(frames.tobytes() + out.astype("<f4").tobytes())
