"""Learns the weights of the music follower from the frames that `lanthorn-training` writes.

    python3 train.py KIND LEARN TRY OUT MINUTES [WEIGHTS]

KIND: `live` (hears only what was) or `hindsight` (a second pass backwards, for files). LEARN and TRY are folders with
`frames` and `truth`. Begins with the weights given, if any. Writes OUT/KIND.weights (see crates/music/src/net.rs) and OUT/KIND.check (what the
network says of a small kept piece, for the test that Rust says the same)."""
import json, os, struct, sys, time
import numpy as np
import torch
from torch import nn
import torch.nn.functional as F

BANDS, COLUMNS = 64, 7
SEED = 20261127


class Net(nn.Module):
    def __init__(self, hindsight, width=96, c1=10, c2=12, inner=80):
        super().__init__()
        self.hindsight = hindsight
        self.c1 = nn.Conv2d(1, c1, (5, 5))
        self.c2 = nn.Conv2d(c1, c2, (3, 3))
        self.inner = nn.Linear(c2 * BANDS // 4, inner)
        self.first = nn.GRU(inner, width, batch_first=True, bidirectional=hindsight)
        self.second = nn.GRU(width * (2 if hindsight else 1), width, batch_first=True, bidirectional=hindsight)
        self.out = nn.Linear(width * (2 if hindsight else 1), COLUMNS)

    def forward(self, x):                      # batch, time, bands
        x = x.unsqueeze(1)
        x = F.elu(self.c1(F.pad(x, (2, 2, 4, 0), value=-3.0)))
        x = F.max_pool2d(x, (1, 2))
        x = F.elu(self.c2(F.pad(x, (1, 1, 2, 0))))
        x = F.max_pool2d(x, (1, 2))            # batch, c2, time, 16
        x = x.permute(0, 2, 1, 3).flatten(2)   # channel first, then band
        x = F.elu(self.inner(x))
        x = F.dropout(x, 0.1, self.training)
        x, _ = self.first(x)
        x = F.dropout(x, 0.1, self.training)
        x, _ = self.second(x)
        return self.out(x)


def folder(path, length):
    frames = np.fromfile(f"{path}/frames", np.uint8).reshape(-1, length, BANDS)
    truth = np.fromfile(f"{path}/truth", np.uint8).reshape(-1, length, COLUMNS)
    n = min(len(frames), len(truth))
    return torch.from_numpy(frames[:n]).cuda(), torch.from_numpy(truth[:n]).cuda()


def spread(x, by):                             # batch, time, columns
    return F.max_pool1d(x.transpose(1, 2), 2 * by + 1, 1, by).transpose(1, 2)


def loss_of(out, truth):
    total = 0.0
    # An onset may be told a frame early or late, a beat two: no more is known of where it is heard.
    for columns, by, weight, part in (([0, 1], 2, 4.0, 2.0), ([2, 3, 4, 5], 1, 2.5, 1.0)):
        said, true = spread(out[..., columns], by), truth[..., columns]
        count = true + (1 - spread(true, 2 * by))
        each = F.binary_cross_entropy_with_logits(said, true, reduction="none", pos_weight=torch.tensor(weight, device=out.device))
        total = total + part * (each * count).mean()
    return total + 0.15 * F.binary_cross_entropy_with_logits(out[..., 6], truth[..., 6])


def batches(frames, truth, length, size, device_rng):
    clips, whole = frames.shape[:2]
    while True:
        which = torch.randint(clips, (size,), device="cuda", generator=device_rng)
        start = torch.randint(whole - length + 1, (size,), device="cuda", generator=device_rng)
        at = start[:, None] + torch.arange(length, device="cuda")
        x = frames[which[:, None], at].float() / 42.0 - 3.0
        # Other rooms and microphones: a smooth tilt over the bands, and a little noise.
        tilt = F.interpolate(torch.randn(size, 1, 5, device="cuda", generator=device_rng) * 0.25, BANDS, mode="linear", align_corners=True)
        x = (x + tilt * (torch.rand(size, 1, 1, device="cuda", generator=device_rng) < 0.6)).clamp(min=-3.0)
        x = x + torch.randn(x.shape, device="cuda", generator=device_rng) * 0.03
        yield x, truth[which[:, None], at].float()


@torch.no_grad()
def judge(net, frames, truth, late_ok):
    """F of each column by picked peaks, within so many frames; share of frames told rightly as music."""
    net.eval()
    hits, told, true, music = torch.zeros(6), torch.zeros(6), torch.zeros(6), 0.0
    for i in range(0, len(frames), 64):
        x, t = frames[i:i + 64].float() / 42.0 - 3.0, truth[i:i + 64].float()
        out = torch.sigmoid(net(x))
        music += ((out[..., 6] > 0.5).float() == t[..., 6]).float().mean().item() * len(x) / len(frames)
        p, t = out[..., :6], t[..., :6]
        peak = (p == spread(p, 3)) & (p > 0.4)
        near = spread(t, late_ok)
        told += peak.sum((0, 1)).cpu()
        true += t.sum((0, 1)).cpu()
        hits += torch.minimum((peak * near).sum((1)), t.sum(1)).sum(0).cpu()
    net.train()
    return (2 * hits / (told + true).clamp(min=1)).tolist() + [music]


def write(net, out, kind, x):
    state = net.state_dict()
    order = [k for k in state]
    with open(f"{out}/{kind}.weights", "wb") as f:
        f.write(b"LANTNET1" + struct.pack("<I", len(order)))
        for k in order:
            w = state[k].float().cpu().numpy()
            name = k.encode()
            f.write(struct.pack("<B", len(name)) + name + struct.pack("<B", w.ndim) + struct.pack(f"<{w.ndim}I", *w.shape))
            # Half precision is kept: the file is small, and nobody hears the difference.
            f.write(w.astype("<f2").tobytes())
    net.eval()
    with torch.no_grad():
        half = Net(kind == "hindsight", **net.size).cuda().eval()
        half.load_state_dict({k: v.half().float() for k, v in state.items()})
        said = torch.sigmoid(half(x.float()[None] / 42.0 - 3.0))[0].cpu().numpy()
    with open(f"{out}/{kind}.check", "wb") as f:
        f.write(x.cpu().numpy().tobytes() + said.astype("<f4").tobytes())
    net.train()


def read(path):
    b, state = open(path, "rb").read(), {}
    count, at = struct.unpack_from("<I", b, 8)[0], 12
    for _ in range(count):
        n = b[at]; name = b[at + 1:at + 1 + n].decode(); at += 1 + n
        d = b[at]; shape = struct.unpack_from(f"<{d}I", b, at + 1); at += 1 + 4 * d
        size = int(np.prod(shape))
        state[name] = torch.from_numpy(np.frombuffer(b, "<f2", size, at).astype(np.float32).reshape(shape).copy()); at += 2 * size
    return state


def main():
    kind, learn, tried, out, minutes = sys.argv[1:6]
    size = json.loads(os.environ.get("NET", "{}"))
    torch.manual_seed(SEED)
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    length = int(float(os.environ.get("CLIP_SECS", "40")) * 100)
    frames, truth = folder(learn, length)
    try_frames, try_truth = folder(tried, length)
    net = Net(kind == "hindsight", **size).cuda()
    net.size = size
    if len(sys.argv) > 6:
        net.load_state_dict(read(sys.argv[6]))
    print(kind, size, sum(p.numel() for p in net.parameters()), "weights;", tuple(frames.shape), tuple(try_frames.shape), flush=True)
    batch, crop = int(os.environ.get("BATCH", "128")), int(os.environ.get("CROP", "1600"))
    optimiser = torch.optim.AdamW(net.parameters(), lr=float(os.environ.get("RATE", "3e-3")), weight_decay=1e-3)
    top = float(os.environ.get("RATE", "3e-3"))
    rng = torch.Generator(device="cuda").manual_seed(SEED)
    began, secs, step, last, shown = time.time(), float(minutes) * 60, 0, 0.0, 0.0
    mean = {k: v.clone() for k, v in net.state_dict().items()}
    for x, t in batches(frames, truth, crop, batch, rng):
        part = (time.time() - began) / secs
        if part >= 1:
            break
        for group in optimiser.param_groups:
            group["lr"] = top * min(1.0, (step + 1) / 200) * (0.5 + 0.5 * np.cos(np.pi * min(part, 1.0))) + 1e-5
        loss = loss_of(net(x), t)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 0.5)
        optimiser.step()
        step += 1
        with torch.no_grad():
            keep = min(0.999, step / (step + 20))
            for k, v in net.state_dict().items():
                mean[k].lerp_(v, 1 - keep)
        last = loss.item() if step == 1 else (0.98 * last + 0.02 * loss.item() if step % 10 == 0 else last)
        if time.time() - shown > 45:
            shown = time.time()
            print(f"{shown - began:5.0f} s step {step} loss {last:.4f} F " + " ".join(f"{f:.3f}" for f in judge(net, try_frames[:128], try_truth[:128], 3)), flush=True)
    net.load_state_dict(mean)
    print(f"end: step {step} F " + " ".join(f"{f:.3f}" for f in judge(net, try_frames, try_truth, 3)), flush=True)
    write(net, out, kind, try_frames[0][:600])


main()
