#!/usr/bin/env bash
# What leaves for real lights, heard by independent decoders on the loopback interface: every slot must be what
# `lanthorn frames` prints. Needs tshark with the right to capture, and python3.
set -euo pipefail
cd "$(dirname "$0")/.."

lanthorn=${LANTHORN:-target/release/lanthorn}
work=${PACKETS_WORK:-$(mktemp -d)}
hearing=
finish() {
  [ -z "$hearing" ] || kill -INT "$hearing" 2>/dev/null || true
  rm -rf "$work"
}
trap finish EXIT
export XDG_STATE_HOME="$work/state"

if [ "${1:-}" != inside ]; then
  if ! { python3 -m venv "$work/venv" &&
    "$work/venv/bin/pip" install --quiet --disable-pip-version-check sacn==1.11.0; } >"$work/pip" 2>&1; then
    echo "packets: the second sACN decoder could not be installed; tshark alone decodes"
    rm -rf "$work/venv"
  fi
  # In a network of its own, if the system lets us: then nobody else's packets are heard.
  own=
  [ "$(id -u)" = 0 ] || own=--map-root-user
  if command -v ip >/dev/null && unshare --net $own true 2>/dev/null; then
    PACKETS_WORK=$work exec unshare --net $own "$0" inside
  fi
else
  ip link set lo up
fi
python=python3
[ ! -x "$work/venv/bin/python" ] || python="$work/venv/bin/python"

# NAME SHOW START SECONDS: runs a show and keeps what was heard and what should have been.
hear() {
  local name=$1 show=$2 start=$3 seconds=$4
  echo "packets: $name: $show, $start, $seconds s"
  tshark -q -i lo -f 'udp port 5568 or udp port 6454' -w "$work/$name.pcapng" 2>"$work/$name.tshark" &
  hearing=$!
  for _ in $(seq 100); do
    grep -q 'Capturing on' "$work/$name.tshark" && break
    kill -0 "$hearing" 2>/dev/null || { cat "$work/$name.tshark"; exit 1; }
    sleep 0.1
  done
  sleep 0.5
  timeout --preserve-status -k 5 -s INT "$seconds" \
    "$lanthorn" open "$show" --no-page --sacn 127.0.0.1 --artnet 127.0.0.1 --start "$start" >"$work/$name.said" ||
    { cat "$work/$name.said"; echo "packets: $name: did not end well"; exit 1; }
  sleep 1
  kill -INT "$hearing"
  wait "$hearing" || true
  hearing=
  "$lanthorn" frames "$show" --from 0 --to "$((seconds + 1))" --start "$start" --json >"$work/$name.json"
}

for _ in 1 2 3; do
  hear moving demo 'Round the floor' 8
  hear still demo Speech 9
  hear forty crates/store/tests/it/shows/forty-heads.show.toml fan 6
  result=0
  "$python" .ci/packets.py "$work" moving still forty || result=$?
  [ "$result" = 75 ] || exit "$result"
done
echo "packets: this computer is too busy to keep time"
exit 1
