#!/usr/bin/env bash
# Gives hostile sound files to `endpin hear`. Each must end by itself within a minute, with exit 0 or
# 1, at most one line on stderr (exactly one with exit 1), and at most 1 GiB of memory in any process.
#   tests/hostile/audio.sh BUILD-DIR [SCORE]
set -uo pipefail
build=${1:?usage: tests/hostile/audio.sh BUILD-DIR [SCORE]}
root=$(cd "$(dirname "$0")/../.." && pwd)
score=${2:-$root/demo/pieces/new-britain.musicxml}
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

"$build/tools/hostile_audio/endpin-hostile-audio" "$folder/files" >/dev/null || exit 3
mkfifo "$folder/files/90-pipe.wav"
mkdir "$folder/files/91-folder.wav"
ln -s /dev/zero "$folder/files/92-device.wav"
cp "$folder"/files/*-telephone.wav "$folder/files/93-unreadable.wav"
[ "$(id -u)" = 0 ] || chmod 0 "$folder/files/93-unreadable.wav"

# A process and all that it started.
family() {
  echo "$1"
  local one
  for one in $(pgrep -P "$1"); do family "$one"; done
}

passed=0 failed=0 largest=0
for file in "$folder"/files/*; do
  began=$(date +%s%N)
  (
    ulimit -v 2097152
    exec timeout 60 "$build/apps/endpin/endpin" hear "$score" "$file" --json
  ) >"$folder/out" 2>"$folder/err" &
  child=$!
  peak=0
  while kill -0 "$child" 2>/dev/null; do
    for pid in $(family "$child"); do
      used=$(awk '/^VmHWM/ {print $2}' "/proc/$pid/status" 2>/dev/null || echo 0)
      [ "${used:-0}" -gt "$peak" ] && peak=$used
    done
    sleep 0.02
  done
  wait "$child"
  status=$?
  lines=$(wc -l <"$folder/err")
  took=$((($(date +%s%N) - began) / 1000000))
  [ "$peak" -gt "$largest" ] && largest=$peak
  wrong=
  [ "$status" -le 1 ] || wrong="exit $status"
  [ "$lines" -le 1 ] || wrong="$wrong, $lines lines"
  [ "$status" = 0 ] || [ "$lines" = 1 ] || wrong="$wrong, no line"
  [ "$peak" -le 1048576 ] || wrong="$wrong, $peak KiB"
  if [ -z "$wrong" ]; then passed=$((passed + 1)); else failed=$((failed + 1)); fi
  printf '%-28s exit %d %6d ms %7d KiB  %s%s\n' "$(basename "$file")" "$status" "$took" "$peak" \
    "${wrong:+WRONG: $wrong  }" "$(head -n 1 "$folder/err" | sed "s|$folder/files/||g" | cut -c1-110)"
done
echo "$passed passed, $failed failed; most memory of one process $((largest / 1024)) MiB"
[ "$failed" = 0 ]
