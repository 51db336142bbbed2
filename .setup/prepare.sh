# Brings a machine to where Plumbray can be built, opened and tested. Sourced by the commands beside
# it, which have already moved to the top of the repository; plain POSIX shell, since a bare machine
# has nothing else.

# The compiler that the checks were written with: a newer one brings lints that nobody has met yet.
toolchain=1.95.0
# The oldest compiler that builds Plumbray is `rust-version` in Cargo.toml: its second number.
oldest_minor=95

# A linker and the C library's start-up files; cargo needs certificates to fetch crates. The graphics
# libraries are loaded while the window opens, so nothing asks for them while building.
packages_to_build='gcc libc6-dev ca-certificates'
packages_for_the_window='libx11-6 libx11-xcb1 libxcursor1 libxi6 libxkbcommon-x11-0 libwayland-egl1 libgl1 libegl1 libgl1-mesa-dri'
# The tests also drive the real window on a screen of their own, compute every measurement a second time
# in Python, read printed sheets back with poppler's tools and DICOM objects with dcmtk and dicom3tools, share an index
# in a PostgreSQL of their own, and send films to archives of their own.
packages_to_test='git xvfb xdotool python3 python3-venv poppler-utils postgresql dcmtk orthanc orthanc-dicomweb dicom3tools openssl'

say() {
    printf '%s\n' "$*" >&2
}

stop() {
    say "$@"
    exit 1
}

# The command that shows whether a package's work can be done, where Debian's own records are absent.
# The libraries of the window have none: the program names them itself when it cannot load them.
command_of() {
    case $1 in
        gcc) echo cc ;;
        xvfb) echo Xvfb ;;
        poppler-utils) echo pdftotext ;;
        postgresql) echo initdb ;;
        dcmtk) echo dcmqrscp ;;
        orthanc) echo Orthanc ;;
        dicom3tools) echo dciodvfy ;;
        git | xdotool | python3 | openssl) echo "$1" ;;
    esac
}

# On a system without Debian's packages: says in words what to install when something is missing.
expect_commands() {
    missing=
    for package in "$@"; do
        needed=$(command_of "$package")
        [ -z "$needed" ] || command -v "$needed" >/dev/null 2>&1 || missing="$missing $needed"
    done
    [ -n "$missing" ] || return 0
    say "This is not a Debian system, so nothing was installed, and these are missing:$missing"
    say 'Plumbray needs:'
    say '  to build:    a C compiler with its linker (gcc or clang), certificates for HTTPS'
    say '  its window:  libX11, libX11-xcb, libXcursor, libXi, libxkbcommon-x11, and OpenGL (Mesa)'
    say '  its tests:   git, Xvfb, xdotool, pdftotext (poppler), a PostgreSQL server with initdb,'
    say '               dcmtk, Orthanc with its DICOMweb plugin, dicom3tools, openssl, and Python 3.11 or newer with its venv module'
    stop 'Install them with the tools of this system, then run this again.'
}

can_become_root() {
    [ "$(id -u)" -eq 0 ] || command -v sudo >/dev/null 2>&1
}

as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    else
        sudo "$@"
    fi
}

is_installed() {
    [ "$(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null)" = installed ]
}

# Installs those of the named Debian packages that are missing; without any, root is not asked for.
install_packages() {
    if ! command -v apt-get >/dev/null 2>&1 || ! command -v dpkg-query >/dev/null 2>&1; then
        expect_commands "$@"
        return 0
    fi
    missing=
    for package in "$@"; do
        is_installed "$package" || missing="$missing $package"
    done
    [ -n "$missing" ] || return 0
    can_become_root ||
        stop "Packages are missing, and there is no sudo here. As root, run: apt-get install --no-install-recommends$missing"
    say "Installing Debian packages:$missing"
    # A stale list of a source that has nothing to do with us must not stop the set-up; a package that
    # cannot be had will.
    as_root apt-get update -qq || say 'The package lists could not be brought up to date; trying with those at hand.'
    # $missing is a list of words.
    # shellcheck disable=SC2086
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends $missing >&2 ||
        stop "Debian could not install:$missing"
}

find_cargo() {
    command -v cargo >/dev/null 2>&1 || PATH="$HOME/.cargo/bin:$PATH"
    command -v cargo >/dev/null 2>&1 ||
        stop 'There is no cargo here. Install Rust with rustup (https://rustup.rs), open a new shell and run this again, without sudo: it asks for root itself.'
}

rust_version() {
    rustc --version 2>/dev/null | cut -d ' ' -f 2
}

# A compiler that is new enough to build the program.
prepare_compiler() {
    find_cargo
    case "$(rust_version)" in
        1.*)
            minor=$(rust_version | cut -d . -f 2)
            [ "$minor" -lt "$oldest_minor" ] || return 0
            ;;
    esac
    use_toolchain
}

# The very compiler that the checks were written with, with its formatter and lints.
prepare_checking_compiler() {
    find_cargo
    if [ "$(rust_version)" = "$toolchain" ] && can_check; then
        return 0
    fi
    use_toolchain
}

can_check() {
    cargo fmt --version >/dev/null 2>&1 && cargo clippy --version >/dev/null 2>&1
}

use_toolchain() {
    command -v rustup >/dev/null 2>&1 ||
        stop "Plumbray needs Rust $toolchain, and there is no rustup here to fetch it (https://rustup.rs)."
    RUSTUP_TOOLCHAIN=$toolchain
    export RUSTUP_TOOLCHAIN
    # One that is there already is used without asking the network.
    if can_check; then
        return 0
    fi
    say "Fetching Rust $toolchain"
    rustup toolchain install "$toolchain" --profile minimal --component clippy --component rustfmt >&2 ||
        stop "rustup could not fetch Rust $toolchain."
}
