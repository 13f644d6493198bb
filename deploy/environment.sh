# Sourced by the scripts beside it: finds Python, makes the environment .venv, installs Debian packages.
# After it, the working folder is the checkout.

cd "$(dirname "${BASH_SOURCE[0]}")/.." || exit 1

say() { printf '%s\n' "$*" >&2; }

stop() {
  say "$*"
  exit 1
}

find_python() {
  local candidate
  for candidate in python3 python3.13 python3.12 python3.11; do
    if "$candidate" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))' 2>/dev/null; then
      command -v "$candidate"
      return
    fi
  done
  stop "drydown needs Python 3.11, 3.12 or 3.13, and none was found. Install one (Debian, Ubuntu: apt install python3 python3-venv) and start again."
}

# make_environment GROUP: .venv with the optional dependencies of GROUP; nothing to do when it is up to date.
make_environment() {
  local python wanted stamp=.venv/.installed-$1
  wanted=$(cat pyproject.toml dashboards/package-lock.json dashboards/build_charts.py | sha256sum)
  if [ -x .venv/bin/drydown ] && [ "$(cat "$stamp" 2>/dev/null)" = "$wanted" ]; then
    return
  fi
  python=$(find_python) || exit 1
  if ! [ -x .venv/bin/python ]; then
    "$python" -m venv .venv >/dev/null 2>&1 || {
      rm -rf .venv
      install_packages python3-venv
      "$python" -m venv .venv || stop "$python cannot make an environment. Install its venv module (Debian, Ubuntu: apt install python3-venv) and start again."
    }
  fi
  say "Installing drydown into .venv: a minute or two the first time."
  .venv/bin/python -m pip install --quiet --disable-pip-version-check --editable ".[$1]" ||
    stop "drydown could not be installed into .venv: see what pip said above. Most often the network is away; start again when it is back."
  printf '%s\n' "$wanted" >"$stamp"
}

# install_packages NAME...: by apt, as root or with sudo; says what is missing where it may not.
install_packages() {
  local missing=() name as_root=()
  for name in "$@"; do
    dpkg-query --show --showformat='${Status}' "$name" 2>/dev/null | grep -q 'ok installed' || missing+=("$name")
  done
  [ ${#missing[@]} -gt 0 ] || return 0
  command -v apt-get >/dev/null || stop "Missing: ${missing[*]}. There is no apt-get here to install them with; install them your way and start again."
  if [ "$(id -u)" != 0 ]; then
    sudo -n true 2>/dev/null || [ -t 0 ] && command -v sudo >/dev/null ||
      stop "Missing: ${missing[*]}. Installing them needs root: run 'apt-get install ${missing[*]}' as root, then start again."
    as_root=(sudo)
  fi
  say "Installing ${missing[*]} by apt."
  "${as_root[@]}" apt-get update -qq >/dev/null
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null ||
    stop "apt-get could not install ${missing[*]}: see what it said above. Mend that, or install them by hand, and start again."
}
