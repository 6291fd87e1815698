#!/usr/bin/env bash
# Pulls a network interface while a show runs, in a network namespace of its own: the machine must live on, and send
# again when the interface is back, be it the same one or a new one. Needs iproute2, and root or user namespaces.
set -euo pipefail
cd "$(dirname "$0")/.."

if [ "${1:-}" != inside ]; then
  own=
  [ "$(id -u)" = 0 ] || own=--map-root-user
  unshare --net $own true 2>/dev/null || { echo "link-down: no network namespaces here: left out"; exit 0; }
  exec unshare --net $own "$0" inside
fi

lanthorn=${LANTHORN:-target/release/lanthorn}
work=$(mktemp -d)
running=
finish() {
  [ -z "$running" ] || kill -INT "$running" 2>/dev/null || true
  rm -rf "$work"
}
trap finish EXIT
export XDG_STATE_HOME="$work/state"

plug_in() {
  ip link add stage type veth peer name desk
  ip addr add 10.7.0.1/24 broadcast 10.7.0.255 dev stage
  ip link set desk up
  ip link set stage up
}
# Packets that have left through the interface so far; 0 while it is not there.
sent() { { ip -s link show dev stage 2>/dev/null || true; } | awk '/TX:/ { getline; n = $2 } END { print n + 0 }'; }
alive() { kill -0 "$running" 2>/dev/null || { cat "$work/said"; echo "link-down: it ended: $1"; exit 1; }; }
# That a second sees at least ten packets, within ten.
flows() {
  local before
  for _ in $(seq 10); do
    before=$(sent)
    sleep 1
    alive "$1"
    [ $(($(sent) - before)) -lt 10 ] || { echo "link-down: $1: sends"; return; }
  done
  echo "link-down: $1: nothing is sent"
  exit 1
}

ip link set lo up
plug_in
"$lanthorn" open demo --no-page --sacn multicast --artnet nodes --interface 10.7.0.1 --start 'round the floor' >"$work/said" 2>&1 &
running=$!
flows 'at the start'
ip link set stage down
sleep 3
alive 'with the interface down'
ip link set stage up
flows 'up again'
ip addr del 10.7.0.1/24 dev stage
sleep 2
alive 'without its address'
ip addr add 10.7.0.1/24 broadcast 10.7.0.255 dev stage
flows 'with its address again'
ip link del stage
sleep 3
alive 'with the interface gone'
plug_in
flows 'plugged in again, a new interface to the system'
kill -INT "$running"
wait "$running" || { cat "$work/said"; echo "link-down: it did not end well"; exit 1; }
running=
