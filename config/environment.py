"""``make env``: the packages of tests/requirements.txt in .venv, installed once for each list of them.

Runs before anything is installed, as ``python -I config/environment.py`` in the project's folder, so it uses the
standard library alone and nothing of the project. uv installs the packages, with the index, certificates and proxy
that pip is set up for; where uv can't be had or fails, pip does.
"""

import argparse
import ast
import contextlib
import errno
import fcntl
import hashlib
import os
import re
import shutil
import ssl
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from importlib.util import find_spec
from pathlib import Path

__all__ = ["Trouble", "pip_settings", "reason", "uv_settings"]

UV = "uv==0.13.9"
VENV = Path(".venv")
PYTHON = VENV / "bin" / "python"
STAMP = VENV / "whistlestop-ready"
LISTS = (Path("requirements.txt"), Path("tests/requirements.txt"))
LOG = Path("var/environment.log")
LOCK = Path("var/environment.lock")
AGAIN = "then run make env again."
NO_PIP = "Python has no pip to begin with. On Debian or Ubuntu, first: apt-get install python3-venv"
# Packages that one command imports, or one test: half of all there is to compile.
SELDOM = r"/(tests?|scipy|networkx|mypy\w*|fontTools|prompt_toolkit|pygments)/"
FULL = re.compile(r"No space left on device|Disk quota exceeded|os error 28\b", re.IGNORECASE)
UNREACHED = re.compile(
    r"connection (broken|refused|reset|timed out)|NewConnectionError|Failed to establish|Could not fetch URL"
    r"|error sending request|dns error|Name or service not known|Temporary failure in name|Read timed out",
    re.IGNORECASE,
)
DISTRUSTED = re.compile(r"CERTIFICATE_VERIFY_FAILED|invalid peer certificate|UnknownIssuer", re.IGNORECASE)
NOT_OFFERED = re.compile(r"No matching distribution found for (\S+)")


class Trouble(Exception):
    """A sentence for the person at the terminal; the environment can't be made."""


def main() -> None:
    parser = argparse.ArgumentParser(description="Make the environment in .venv, or bring it up to date.")
    parser.add_argument("--current", action="store_true", help="only say, by the exit code, whether it is up to date")
    options = parser.parse_args()
    if options.current:
        sys.exit(not is_current())
    try:
        make()
    except KeyboardInterrupt:
        sys.exit("Stopped. Run make env again to finish.")
    except Trouble as trouble:
        sys.exit(str(trouble))
    except PermissionError as refusal:
        sys.exit(f"{refusal.filename or Path.cwd()} can't be written by you. Use a copy of the project of your own.")
    except OSError as refusal:
        sys.exit(reason(f"{os.strerror(refusal.errno or errno.EIO)} ({refusal.filename or Path.cwd()})"))


def is_current() -> bool:
    """Whether this Python's environment has what the lists name. Run it with .venv's own Python."""
    with contextlib.suppress(OSError):
        return STAMP.read_text() == stamp(f"{sys.version_info.major}.{sys.version_info.minor}")
    return False


def stamp(version: str) -> str:
    """What the stamp of an environment says: both lists and the Python that they were installed for."""
    lists = b"\0".join(one.read_bytes() for one in LISTS)
    return f"{hashlib.sha256(lists).hexdigest()} Python {version}\n"


def make() -> None:
    LOG.parent.mkdir(exist_ok=True)
    with alone():
        version = venv_version()
        if version and STAMP.exists() and STAMP.read_text() == stamp(version):
            return  # somebody else made it while we waited
        new = not (version and STAMP.exists())
        if new:
            make_venv()
        else:
            say("The list of packages has changed, so .venv is brought up to date.")
        # Broken off from here on, it counts as half made.
        STAMP.unlink(missing_ok=True)
        try:
            LOG.write_text("")
            install()
            STAMP.write_text(stamp(venv_version()))
        except (OSError, Trouble):
            if new and not VENV.is_symlink():
                shutil.rmtree(VENV, ignore_errors=True)
            raise


@contextlib.contextmanager
def alone() -> Iterator[None]:
    """Hold the lock: two commands at once must not install into one folder."""
    with LOCK.open("a") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Another command is making .venv; waiting for it.")
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def venv_version() -> str:
    """The version of .venv's Python, such as "3.12"; empty if none runs."""
    program = "import sys; print('%d.%d' % sys.version_info[:2])"
    with contextlib.suppress(OSError):
        done = subprocess.run([PYTHON, "-I", "-S", "-c", program], capture_output=True, text=True, check=False)
        return done.stdout.strip()
    return ""


def make_venv() -> None:
    if VENV.is_symlink():
        VENV.unlink()
    elif VENV.exists():
        say("The environment in .venv is half made, so it is made again.")
        shutil.rmtree(VENV)
    say("Making the environment in .venv. This takes about half a minute.")
    # Without pip, which takes seconds to put there: the one of this Python installs into it.
    code, said = run([sys.executable, "-m", "venv", "--without-pip", VENV], os.environ)
    if code:
        raise Trouble(reason(said) if FULL.search(said) else NO_PIP)


def install() -> None:
    pip = pip_command()
    install_packages(pip)
    # Not left to the first import, which may be told to write nothing, and not of what is seldom imported.
    code, said = run(
        [PYTHON, "-m", "compileall", "-qq", "-j", "0", "-x", SELDOM, *VENV.glob("lib/python*")], os.environ
    )
    if code and FULL.search(said):
        raise Trouble(reason(said))


def install_packages(pip: Sequence[str]) -> None:
    settings = pip_settings(run([*pip, "config", "list"], os.environ)[1])
    code, said = run([*pip, "install", "--no-compile", UV], os.environ)
    if code == 0:
        code, said = install_with_uv(settings)
        if code == 0:
            return
        if FULL.search(said):
            raise Trouble(reason(said))
    say(f"uv can't be used here ({brief(said)}), so pip installs the packages. This takes a minute or two.")
    code, said = run([*pip, "install", "--no-compile", "-r", str(LISTS[-1])], os.environ)
    if code:
        raise Trouble(reason(said))


def pip_command() -> list[str]:
    """The pip that works on .venv: this Python's own, or one that is put into .venv first."""
    quietly = ["--disable-pip-version-check", "--no-input"]
    if find_spec("pip") is not None:
        # Older ones can't install into another environment.
        code, said = run([sys.executable, "-m", "pip", "--version"], os.environ)
        version = re.match(r"pip (\d+)\.(\d+)", said)
        if code == 0 and version and (int(version[1]), int(version[2])) >= (22, 3):
            return [sys.executable, "-m", "pip", "--python", str(PYTHON), *quietly]
    if find_spec("ensurepip") is None:
        raise Trouble(NO_PIP)
    code, said = run([PYTHON, "-m", "ensurepip"], os.environ)
    if code:
        raise Trouble(reason(said) if FULL.search(said) else NO_PIP)
    return [str(PYTHON), "-m", "pip", *quietly]


def install_with_uv(settings: Mapping[str, str]) -> tuple[int, str]:
    env = {**os.environ, **uv_settings(settings, os.environ)}
    own = None
    if not env.get("UV_CACHE_DIR") and ("no-cache-dir" in settings or not cache_is_ours(env)):
        # Beside the packages, so that they are linked from it and not copied.
        own = VENV / "uv-cache"
        env["UV_CACHE_DIR"] = str(own)
    command: list[str | Path] = [VENV / "bin" / "uv", "pip", "install", "--python", PYTHON, "--no-progress"]
    command += ["--no-index"] if settings.get("no-index", "").lower() in {"1", "true", "yes", "on"} else []
    try:
        return run([*command, "-r", LISTS[-1]], env)
    except OSError as refusal:
        return 1, str(refusal)
    finally:
        if own is not None:
            shutil.rmtree(own, ignore_errors=True)


def cache_is_ours(env: Mapping[str, str]) -> bool:
    """Whether uv's usual cache is writable and ours, and not in the home of another user that we run in."""
    home = env.get("XDG_CACHE_HOME") or (env.get("HOME") and os.path.join(env["HOME"], ".cache"))
    if not home:
        return False
    place = Path(home)
    while not place.exists() and place != place.parent:
        place = place.parent
    try:
        with tempfile.TemporaryFile(dir=place):
            return place.stat().st_uid == os.geteuid()
    except OSError:
        return False


def pip_settings(listed: str) -> dict[str, str]:
    """What ``pip config list`` shows, by plain option name; a value closer to us replaces one farther away."""
    found: dict[str, tuple[int, str]] = {}
    for line in listed.splitlines():
        name, equals, value = line.partition("=")
        section, dot, option = name.partition(".")
        if not (equals and dot) or section not in {"global", "install", ":env:"}:
            continue
        with contextlib.suppress(ValueError, SyntaxError):
            rank = ("global", "install", ":env:").index(section)
            if rank >= found.get(option, (-1, ""))[0]:
                found[option] = rank, str(ast.literal_eval(value))
    return {option: value for option, (_, value) in found.items()}


def uv_settings(pip: Mapping[str, str], env: Mapping[str, str]) -> dict[str, str]:
    """The variables that make uv look where pip looks; what is set for uv itself stays."""
    links = pip.get("find-links", "").split()
    certificates = pip.get("cert") or env.get("REQUESTS_CA_BUNDLE") or env.get("CURL_CA_BUNDLE") or ""
    store = ssl.get_default_verify_paths()
    wanted = {
        "UV_DEFAULT_INDEX": "" if env.get("UV_INDEX_URL") else pip.get("index-url", ""),
        "UV_INDEX": "" if env.get("UV_EXTRA_INDEX_URL") else " ".join(pip.get("extra-index-url", "").split()),
        # Of several indexes pip takes the best release, and uv only the first that knows the name.
        "UV_INDEX_STRATEGY": "unsafe-best-match",
        "UV_FIND_LINKS": ",".join(links),
        "UV_CONSTRAINT": " ".join(pip.get("constraint", "").split()),
        "UV_INSECURE_HOST": " ".join(pip.get("trusted-host", "").split()),
        "UV_HTTP_TIMEOUT": pip.get("timeout") or pip.get("default-timeout", ""),
        "UV_KEYRING_PROVIDER": "subprocess" if pip.get("keyring-provider") == "subprocess" else "",
        "SSL_CERT_FILE": certificates if os.path.isfile(certificates) else "",
        "SSL_CLIENT_CERT": pip.get("client-cert", ""),
        "HTTPS_PROXY": pip.get("proxy", ""),
        "HTTP_PROXY": pip.get("proxy", ""),
        # A company's own authority is in the machine's store, which pip reads too.
        "UV_SYSTEM_CERTS": "true" if store.cafile or store.capath else "",
        "UV_PYTHON_DOWNLOADS": "never",
    }
    return {name: value for name, value in wanted.items() if value and not env.get(name)}


def run(command: Sequence[str | Path], env: Mapping[str, str]) -> tuple[int, str]:
    """Run ``command`` and keep what it says in the log; its exit code and those words."""
    done = subprocess.run(
        command, env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
    )
    said = done.stdout.decode(errors="replace")
    # On a full disk the log matters less than the sentence.
    with contextlib.suppress(OSError), LOG.open("a") as log:
        log.write(f"$ {' '.join(map(str, command))}\n{said}\n")
    return done.returncode, said


def reason(said: str) -> str:
    """One sentence about why the packages could not be installed, and what to do."""
    if FULL.search(said):
        return f"The disk is full. Free about 2 GB where {Path.cwd()} is, {AGAIN}"
    if DISTRUSTED.search(said):
        return (
            "The certificate of the package index is not trusted on this machine. "
            f"Name your organization's certificate file to pip (pip config set global.cert FILE), {AGAIN}"
        )
    if UNREACHED.search(said):
        return (
            "The package index could not be reached. Check the network and the index that pip is set to "
            f"(pip config list), {AGAIN} Details are in {LOG}."
        )
    if missing := NOT_OFFERED.search(said):
        return (
            f"The package index has no {missing[1]} for Python {venv_version()} on this machine. Use another Python "
            "from 3.11 on, such as: make env PYTHON=python3.12"
        )
    return f"The packages could not be installed ({brief(said)}). Details are in {LOG}. Mend that, {AGAIN}"


def brief(said: str) -> str:
    """The most telling line, to be put into a sentence."""
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    errors = [line for line in lines if re.match(r"(error|×|caused by)", line, re.IGNORECASE)]
    return re.sub(r"^(error|×)[: ]*", "", (errors or lines or ["no reason was given"])[-1], flags=re.IGNORECASE)[:200]


def say(words: str) -> None:
    print(words, flush=True)


if __name__ == "__main__":
    main()
