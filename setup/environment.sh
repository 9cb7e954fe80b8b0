#!/bin/sh
# Makes what the other commands need. The Makefile calls it, one step at a time:
#   libraries   the shared libraries for setting text: there, or installed, or it says how
#   packages    .venv, with exactly the packages in requirements-dev.txt
#   project     stavebound itself in .venv, as it stands in this folder
set -eu
cd "$(dirname "$0")/.."

say() { printf '%s\n' "$@" >&2; }

stop() {
    say "" "$@"
    exit 1
}

has() { command -v "$1" >/dev/null 2>&1; }

is_root() { [ "$(id -u)" = 0 ]; }

package_manager() {
    for name in apt-get dnf pacman apk brew; do
        if has "$name"; then
            echo "$name"
            return
        fi
    done
    echo none
}

# What a package manager is to be told, for the libraries, for Python, and for a Python beside
# the system's own where that one is too old.
packages_for() {
    case "$1 $2" in
    "apt-get libraries") echo libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz0b libharfbuzz-subset0 ;;
    "apt-get python") echo python3 python3-venv ;;
    "apt-get newer-python") echo python3.11 python3.11-venv ;;
    "dnf libraries") echo pango harfbuzz ;;
    "dnf python") echo python3 ;;
    "dnf newer-python") echo python3.12 ;;
    "pacman libraries") echo pango harfbuzz ;;
    "pacman "*python) echo python ;;
    "apk libraries")
        echo so:libpango-1.0.so.0 so:libpangoft2-1.0.so.0 so:libharfbuzz.so.0 so:libharfbuzz-subset.so.0
        ;;
    "apk "*python) echo python3 ;;
    "brew libraries") echo python pango harfbuzz ;; # the system's own Python does not look there
    "brew "*python) echo python ;;
    esac
}

# The whole command, as this user has to type it.
command_for() {
    sudo="sudo "
    if is_root; then sudo=""; fi
    packages=$(packages_for "$1" "$2")
    case "$1" in
    apt-get) echo "${sudo}apt-get update && ${sudo}apt-get install --yes $packages" ;;
    dnf) echo "${sudo}dnf install $packages" ;;
    pacman) echo "${sudo}pacman -S $packages" ;;
    apk) echo "${sudo}apk add $packages" ;;
    brew) echo "brew install $packages" ;;
    *) echo "in this system's own way: no apt-get, dnf, pacman, apk or brew was found" ;;
    esac
}

is_suitable() {
    "$1" -c 'import ctypes, ensurepip, sys, venv; sys.exit(sys.version_info < (3, 11))' 2>/dev/null
}

find_python() {
    for name in python3 python3.14 python3.13 python3.12 python3.11; do
        if is_suitable "$name"; then
            echo "$name"
            return
        fi
    done
    wanted=python
    if has python3 && ! python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
        wanted=newer-python
    fi
    stop "Python 3.11 or newer with its venv module was not found." \
        "Install it, then give the same command again:" \
        "    $(command_for "$(package_manager)" $wanted)"
}

# On Debian and Ubuntu root may install them; elsewhere, and for others, it is the user's to do.
require_libraries() {
    python=$(find_python)
    missing=$("$python" setup/libraries.py)
    if [ -z "$missing" ]; then return; fi
    say "Shared libraries not found:" "$missing"
    manager=$(package_manager)
    if [ "$manager" = apt-get ] && is_root; then
        say "Installing them with apt-get."
        apt-get update -qq || say "The package lists could not be brought up to date."
        # Unquoted, so that each package is a word of its own.
        DEBIAN_FRONTEND=noninteractive apt-get install -qq --yes -o Dpkg::Use-Pty=0 \
            $(packages_for apt-get libraries) >&2 || say "apt-get did not install them."
        missing=$("$python" setup/libraries.py)
        if [ -z "$missing" ]; then return; fi
    fi
    stop "Install them, then give the same command again:" \
        "    $(command_for "$manager" libraries)"
}

pip_install() {
    .venv/bin/python -m pip install --quiet --disable-pip-version-check "$@" ||
        stop "pip could not install what is needed; its own words stand above." \
            "Nothing was built. Mend that, then give the same command again."
}

make_packages() {
    python=$(find_python)
    say "Making .venv with $("$python" --version); this is done once."
    "$python" -m venv --clear .venv
    pip_install --only-binary :all: --require-hashes --requirement requirements-dev.txt
}

install_project() {
    pip_install --no-deps --no-build-isolation --editable .
}

case "${1:-}" in
libraries) require_libraries ;;
packages) make_packages ;;
project) install_project ;;
*) stop "usage: sh setup/environment.sh libraries | packages | project" ;;
esac
