# Everything a fresh Debian 12 machine needs, each step only where something is missing.
# Sourced by ./run and ./check. All messages go to standard error.

endpin_root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)

# Clones in different folders share what was compiled.
export CCACHE_BASEDIR="$endpin_root" CCACHE_NOHASHDIR=1

say() { printf '%s\n' "$*" >&2; }

die() {
  say "$*"
  exit 3
}

as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

# stage NAME COMMAND…: runs it, prints how long it took.
stage() {
  local name=$1 started ended status=0
  shift
  say "── $name"
  started=$(date +%s)
  "$@" || status=$?
  ended=$(date +%s)
  say "── $name: $((ended - started)) s$([ $status = 0 ] || printf ', FAILED')"
  return $status
}

missing_packages() {
  local package
  while read -r package; do
    case "$package" in '' | '#'*) continue ;; esac
    # A node that came from elsewhere serves as well as Debian's.
    [ "$package" = nodejs ] && command -v node >/dev/null && continue
    [ "$(dpkg-query -W -f='${db:Status-Status}' "$package" 2>/dev/null)" = installed ] ||
      printf '%s\n' "$package"
  done <"$endpin_root/setup/apt-packages.txt"
  # Debian's npm conflicts with node packages from elsewhere that bring their own.
  command -v npm >/dev/null || printf 'npm\n'
}

install_packages() {
  local wanted
  wanted=$(missing_packages)
  [ -n "$wanted" ] || return 0
  command -v apt-get >/dev/null || die "apt-get: not found. Endpin sets itself up on Debian 12; elsewhere install: $(tr '\n' ' ' <<<"$wanted")"
  [ "$(id -u)" = 0 ] || command -v sudo >/dev/null || die "Installing packages needs root or sudo. Run this as root once."
  say "Installing: $(tr '\n' ' ' <<<"$wanted")"
  # shellcheck disable=SC2086
  as_root apt-get update -qq >&2 &&
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $wanted >&2
}

# up_to_date STAMP PATH…: nothing below the paths is newer than the stamp.
up_to_date() {
  local stamp=$1
  shift
  [ -e "$stamp" ] && [ -z "$(find "$@" -newer "$stamp" -print -quit 2>/dev/null)" ]
}

install_web_packages() {
  local stamp="$endpin_root/web/node_modules/.endpin-stamp"
  up_to_date "$stamp" "$endpin_root/web/package-lock.json" && return 0
  (cd "$endpin_root/web" && npm ci --no-audit --no-fund --loglevel=error >&2) && touch "$stamp"
}

build() {
  local preset=$1
  (cd "$endpin_root" &&
    { [ -e "build/$preset/build.ninja" ] || cmake --preset "$preset" >&2; } &&
    cmake --build --preset "$preset" >&2)
}

build_wasm() {
  [ -e "$endpin_root/wasm/CMakeLists.txt" ] || return 0
  build wasm
}

build_web() {
  local stamp="$endpin_root/web/dist/.endpin-stamp"
  up_to_date "$stamp" "$endpin_root/web/src" "$endpin_root/web/package.json" \
    "$endpin_root/web/vite.config.ts" "$endpin_root/build/wasm/wasm" && return 0
  (cd "$endpin_root/web" && npm run --silent build >&2) && touch "$stamp"
}
