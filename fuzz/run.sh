#!/usr/bin/env bash
# fuzz/run.sh TARGET [SECONDS]    runs one target (read_musicxml, read_abc, read_midi, read_json,
# read_request, decode_sound, hear_samples), ten minutes unless told otherwise, and prints how many inputs it tried.
# What it finds is left in build/fuzz/found-TARGET; a finding belongs into fuzz/corpus once mended. The
# limit of a minute an input is by the clock, so that a busy machine is no finding.
set -euo pipefail
here=$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")
target=${1:?usage: fuzz/run.sh TARGET [SECONDS]}
seconds=${2:-600}
declare -A corpus=([read_musicxml]=musicxml [read_abc]=abc [read_midi]=midi [read_json]=json
  [read_request]=http [decode_sound]=sound [hear_samples]=samples)
name=${corpus[$target]:?no such target: $target}
# Longer inputs say nothing new and are slow: each is read three times and written twice.
declare -A longest=([musicxml]=3000 [abc]=1000 [midi]=1000 [json]=2000 [http]=3000 [sound]=6000 [samples]=4000)
work="$here/../build/fuzz"
mkdir -p "$work/found-$target" "$work/corpus-$target"
words=(-max_total_time="$seconds" -max_len="${longest[$name]}" -rss_limit_mb=1024 -timeout=60
  -print_final_stats=1 -artifact_prefix="$work/found-$target/")
[ ! -e "$here/$name.dict" ] || words+=(-dict="$here/$name.dict")
log="$work/fuzz-$target.log"
status=0
"$work/fuzz/fuzz_$target" "${words[@]}" "$work/corpus-$target" "$here/corpus/$name" >"$log" 2>&1 || status=$?
tried=$(sed -nE 's/^stat::number_of_executed_units: +([0-9]+)$/\1/p' "$log")
found=$(find "$work/found-$target" -type f ! -name 'slow-unit-*' | wc -l)
echo "$target: ${tried:-?} inputs in $seconds s, $found findings"
[ "$status" = 0 ] && [ "$found" = 0 ]
