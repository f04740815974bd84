"""The live page as served: what it loads, whom it lets in, how it ends; and in a browser and a notebook."""

from __future__ import annotations

import base64
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import brinefront as bf
import pytest
from brinefront.live import server

TOP = Path(__file__).resolve().parents[3]
PICTURES = TOP / "target" / "live"
# A machine with other work to do is slow; nothing here measures time.
PATIENCE_S = 90.0


def live(*arguments: str, **further: Any) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "brinefront", "live", "--no-browser", *arguments]
    return subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8", **further
    )


def address_of(child: subprocess.Popen[str]) -> str:
    assert child.stdout is not None
    return child.stdout.readline().strip()


def ended(child: subprocess.Popen[str]) -> tuple[int, str]:
    """Ctrl-C; the exit code and what was said on standard error."""
    child.send_signal(signal.SIGINT)
    _, said = child.communicate(timeout=PATIENCE_S)
    return child.returncode, said


@pytest.fixture(scope="module")
def served() -> Iterator[str]:
    child = live("--port", "0")
    try:
        url = address_of(child)
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", url)
        yield url
    finally:
        child.kill()
        child.communicate()


def fetched(url: str) -> str:
    with urllib.request.urlopen(url, timeout=PATIENCE_S) as answer:
        return str(answer.read().decode("utf-8"))


# --- the server


def test_the_page_names_no_other_host(served: str) -> None:
    page = fetched(served)
    assert "<title>brinefront: a bed and its water</title>" in page
    hosts = {host for host in re.findall(r"(?:https?:)?//([\w.\[\]:-]+)", page)}
    assert all(host.startswith(("127.0.0.1", "localhost")) for host in hosts), hosts
    scripts = re.findall(r'<script[^>]* src="([^"]+)"', page)
    assert len(scripts) >= 3
    for script in scripts:
        assert fetched(served + script)


def handshake(url: str, origin: str) -> str:
    """The status line with which the websocket answers a page of this origin."""
    host, port = re.match(r"http://([^:/]+):(\d+)/", url).groups()  # type: ignore[union-attr]
    token = re.search(r'"token":"([^"]+)"', fetched(url))
    assert token
    key = base64.b64encode(os.urandom(16)).decode()
    request = (
        f"GET /ws HTTP/1.1\r\nHost: {host}:{port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nOrigin: {origin}\r\n"
        f"Sec-WebSocket-Key: {key}\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Protocol: bokeh, {token[1]}\r\n\r\n"
    )
    with socket.create_connection((host, int(port)), timeout=PATIENCE_S) as line:
        line.sendall(request.encode())
        return line.recv(200).decode("latin-1").splitlines()[0]


def test_pages_of_other_sites_are_turned_away(served: str) -> None:
    own = served.rstrip("/")
    assert " 101 " in handshake(served, own)
    assert " 101 " in handshake(served, own.replace("127.0.0.1", "localhost"))
    assert " 403 " in handshake(served, "http://elsewhere.invalid")
    assert " 403 " in handshake(served, own.replace("127.0.0.1", "127.0.0.1.elsewhere.invalid"))


def status_for(url: str, *lines: str) -> str:
    """The status line that answers a request with these header lines."""
    host, port = re.match(r"http://([^:/]+):(\d+)/", url).groups()  # type: ignore[union-attr]
    with socket.create_connection((host, int(port)), timeout=PATIENCE_S) as line:
        line.sendall(("\r\n".join([*lines, "Connection: close", "", ""])).encode())
        return line.recv(200).decode("latin-1").splitlines()[0]


@pytest.mark.parametrize("path", ["/", "/ws", "/static/js/bokeh.min.js", "/no-such-page"])
def test_a_host_that_is_not_its_own_is_refused(served: str, path: str) -> None:
    port = served.rsplit(":", 1)[1].rstrip("/")
    upgrade = ("Upgrade: websocket", "Sec-WebSocket-Version: 13", "Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==")
    get = f"GET {path} HTTP/1.1"
    for host in (f"127.0.0.1:{port}", f"localhost:{port}", f"LOCALHOST:{port}", f"[::1]:{port}"):
        assert " 403 " not in status_for(served, get, f"Host: {host}"), host
    for host in (f"elsewhere.invalid:{port}", "127.0.0.1", f"127.0.0.1.elsewhere.invalid:{port}", "localhost:1", ""):
        assert " 403 " in status_for(served, get, f"Host: {host}"), host
        assert " 403 " in status_for(served, get, f"Host: {host}", *upgrade, f"Origin: http://localhost:{port}"), host
    assert " 403 " in status_for(served, f"GET {path} HTTP/1.0")


def test_it_listens_on_this_machine_alone(served: str) -> None:
    port = int(served.rsplit(":", 1)[1].rstrip("/"))
    # All of 127.0.0.0/8 is this machine; only the one address of it answers, and so none of any other network.
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S):
        pass
    own = {str(found[4][0]) for found in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)} - {"127.0.0.1"}
    for address in sorted(own | {"127.0.0.2"}):
        with pytest.raises(OSError):
            socket.create_connection((address, port), timeout=5.0).close()


def test_ctrl_c_ends_it_with_the_code_of_the_command() -> None:
    child = live("--port", "0")
    try:
        url = address_of(child)
        # A page in the middle of its work.
        fetched(url)
        code, said = ended(child)
    finally:
        child.kill()
    assert (code, said) == (130, "brinefront: stopped\n")


def test_a_port_in_use_is_said_in_one_line(served: str) -> None:
    port = served.rsplit(":", 1)[1].rstrip("/")
    child = live("--port", port)
    out, said = child.communicate(timeout=PATIENCE_S)
    assert child.returncode == 2 and out == ""
    assert said == f"brinefront: port = {port}: is taken by another program; give another, or 0 for any that is free\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--port", "70000"), "port = 70000: must be from 0 to 65535"),
        (("--port", "many"), "--port"),
        (("--port", "0", "--address", "192.0.2.1"), "address = 192.0.2.1: is not an address of this machine"),
        (("no such case.toml",), "no such case.toml"),
    ],
)
def test_what_cannot_be_served_is_said_in_one_line(arguments: tuple[str, ...], said: str) -> None:
    child = live(*arguments)
    out, error = child.communicate(timeout=PATIENCE_S)
    assert child.returncode == 2 and out == ""
    assert said in error and error.count("\n") == 1


def test_another_address_is_warned_about() -> None:
    child = live("--port", "0", "--address", "0.0.0.0")
    try:
        url = address_of(child)
        assert url.startswith("http://localhost:")
        port = url.rsplit(":", 1)[1].rstrip("/")
        assert " 101 " in handshake(url, f"http://{socket.gethostname()}:{port}")
        assert " 403 " in handshake(url, "http://elsewhere.invalid")
        code, said = ended(child)
    finally:
        child.kill()
    assert code == 130
    assert "anyone who reaches this machine can open the page, without a password" in said


def test_loopback_has_many_names() -> None:
    assert all(server._loopback(name) for name in ("localhost", "127.0.0.1", "127.1.2.3", "::1"))
    assert not any(server._loopback(name) for name in ("", "0.0.0.0", "192.168.1.5", "::", "example.invalid"))
    assert "127.0.0.1" in server._origins("::1") and "elsewhere" not in server._origins("10.0.0.1")


def test_a_taken_port_is_an_input_error() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(bf.InputError) as raised:
            server._listening(_Panel(), bf.default_case(), port, "127.0.0.1")
    assert raised.value.field == "port" and raised.value.value == port


class _Panel:
    """Stands in for Panel where only the socket matters."""

    def serve(self, _: Any, *, port: int, address: str, **__: Any) -> None:
        with socket.socket() as line:
            line.bind((address, port))


# --- the browser


FIND = """
const model = [...Bokeh.documents[0]._all_models.values()].find(each => each.tags && each.tags.includes(arguments[0]));
return Bokeh.index.find_one(model).shadow_el.querySelectorAll(arguments[1])[arguments[2]];
"""
DATA = "return Array.from(Bokeh.documents[0].get_model_by_name(arguments[0]).data[arguments[1]])"
# All text of the page, through every shadow root.
WORDS = """
const words = root => [...root.querySelectorAll('*')].map(
  each => (each.shadowRoot ? words(each.shadowRoot) : '')
    + (!['STYLE', 'SCRIPT'].includes(each.tagName) && !each.children.length ? ' ' + each.textContent : '')).join('');
return words(document.body);
"""
LOADED = "return performance.getEntriesByType('resource').map(each => each.name)"


# What the browser says of its own drawing (Chromium 156: that it draws WebGL in software here) is nobody's fault.
OF_THE_BROWSER = ("rendering",)


def complaints(log: list[dict[str, Any]]) -> list[str]:
    """Warnings and errors that the page caused, of all that a browser wrote down."""
    serious = [entry for entry in log if entry["level"] in ("SEVERE", "WARNING")]
    return [entry["message"] for entry in serious if entry["source"] not in OF_THE_BROWSER]


def test_only_the_page_complains() -> None:
    def entry(level: str, source: str) -> dict[str, Any]:
        return {"level": level, "source": source, "message": f"{level} of {source}"}

    log = [entry("INFO", "console-api"), entry("WARNING", "rendering")]
    of_page = [
        entry(level, source)
        for level in ("WARNING", "SEVERE")
        for source in ("console-api", "javascript", "network", "security")
    ]
    assert complaints(log) == []
    assert complaints(log + of_page) == [each["message"] for each in of_page]


class Browser:
    """The page in headless Chromium."""

    def __init__(self, url: str, profile: Path, width: int, height: int) -> None:
        from selenium import webdriver
        from selenium.webdriver.chrome.service import Service

        options = webdriver.ChromeOptions()
        flags = "headless no-sandbox disable-gpu disable-quic no-first-run disable-background-networking"
        for flag in (*flags.split(), "disable-component-update", "disable-sync", f"user-data-dir={profile}"):
            options.add_argument(f"--{flag}")
        options.binary_location = str(shutil.which("chromium"))
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
        self.size(width, height)
        self.driver.get(url)
        self.until(lambda: self.js("return Boolean(window.Bokeh?.documents[0]?.get_model_by_name('now'))"))
        self.until(lambda: "worked out on" in self.words())

    def js(self, script: str, *arguments: Any) -> Any:
        return self.driver.execute_script(script, *arguments)

    def size(self, width: int, height: int) -> None:
        view = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", view)

    def until(self, true: Callable[[], Any]) -> None:
        end = time.monotonic() + PATIENCE_S
        while not true():
            assert time.monotonic() < end, "nothing happened"
            time.sleep(0.1)

    def words(self) -> str:
        return str(self.js(WORDS))

    def data(self, source: str, column: str) -> list[float]:
        return [float(each) for each in self.js(DATA, source, column)]

    def handle(self, name: str) -> Any:
        return self.js(FIND, name, ".noUi-handle", 0)

    def press(self, name: str, place: int) -> None:
        self.js(FIND, name, "button", place).click()

    def worked_out(self, true: Callable[[], Any]) -> None:
        """Wait until something holds and the page has come to rest."""
        self.until(lambda: true() and ("worked out on" in self.words() or "no figures" in self.words()))

    def picture(self, name: str) -> bytes:
        PICTURES.mkdir(parents=True, exist_ok=True)
        time.sleep(0.5)
        self.driver.save_screenshot(str(PICTURES / f"{name}.png"))
        return (PICTURES / f"{name}.png").read_bytes()

    def complaints(self) -> list[str]:
        return complaints(self.driver.get_log("browser"))


@pytest.fixture
def browser(served: str, tmp_path: Path) -> Iterator[Browser]:
    if shutil.which("chromium") is None or shutil.which("chromedriver") is None:
        if os.environ.get("CI") is None:
            pytest.skip("Chromium is not installed")
        pytest.fail("Chromium is not installed, and it must be where CI is set")
    opened = Browser(served, tmp_path / "profile", 1280, 800)
    try:
        yield opened
    finally:
        opened.driver.quit()


def test_a_hand_on_the_controls(browser: Browser) -> None:
    from selenium.webdriver.common.keys import Keys

    at_rest = bf.default_case().replace({"service.volume_bv": None})
    assert browser.data("now", "capacity") == [at_rest.cycle().capacity_eq_per_l]
    before = browser.picture("default")

    browser.handle("dose").send_keys(Keys.ARROW_RIGHT)
    browser.worked_out(lambda: browser.data("now", "dose") == [98.0])
    browser.handle("dose").send_keys(Keys.HOME)
    browser.worked_out(lambda: browser.data("now", "dose") == [20.0])
    low = at_rest.replace({"regeneration.dose_g_per_l": 20.0}).cycle()
    assert browser.data("now", "capacity") == [low.capacity_eq_per_l]
    assert browser.data("leakage", "bv") == low.leakage()["bv"].tolist()
    assert browser.picture("low_dose") != before

    browser.press("direction", 1)
    browser.worked_out(lambda: "CANNOT RECOVER (co-current)" in browser.words())
    browser.picture("never_soft")
    browser.handle("dose").send_keys(Keys.END)
    browser.worked_out(lambda: "CANNOT RECOVER" not in browser.words() and browser.data("now", "dose") == [260.0])
    most = at_rest.replace({"regeneration.dose_g_per_l": 260.0, "regeneration.direction": "co-current"}).cycle()
    assert browser.data("now", "capacity") == [most.capacity_eq_per_l]
    browser.picture("co_current")

    browser.handle("solids").send_keys(Keys.HOME)
    browser.worked_out(lambda: "must be at least 447 mg/L" in browser.words())
    browser.picture("refused")
    browser.handle("solids").send_keys(Keys.END)
    browser.worked_out(lambda: "must be at least" not in browser.words())
    browser.press("quantity", 1)
    browser.picture("efficiency")

    for width, height in ((1280, 800), (1024, 768)):
        browser.size(width, height)
        time.sleep(0.5)
        assert browser.js("return document.documentElement.scrollWidth <= window.innerWidth"), width
    browser.picture("small")

    assert browser.complaints() == []
    loaded = browser.js(LOADED)
    assert loaded and all(name.startswith(("http://127.0.0.1:", "data:", "blob:")) for name in loaded), loaded


def test_every_tab_has_its_own_bench(browser: Browser, served: str, tmp_path: Path) -> None:
    from selenium.webdriver.common.keys import Keys

    first = browser.driver.current_window_handle
    browser.driver.switch_to.new_window("tab")
    browser.driver.get(served)
    browser.until(lambda: browser.js("return Boolean(window.Bokeh?.documents[0]?.get_model_by_name('now'))"))
    browser.handle("dose").send_keys(Keys.END)
    browser.worked_out(lambda: browser.data("now", "dose") == [260.0])
    browser.driver.switch_to.window(first)
    assert browser.data("now", "dose") == [96.0]


# --- the notebook


SHOW = """
import asyncio, panel as pn, brinefront as bf
from brinefront import live
page = live.page(bf.default_case())
page
"""
MOVE = """
[dose] = [each for each in page.select(pn.widgets.FloatSlider) if "dose" in each.tags]
dose.value = 60.0
"""
LOOK = """
def told():
    words = [each.object for each in page.select(pn.pane.HTML)]
    return [each for each in words if "run_length_bv" in each or "worked out" in each]
for _ in range(600):
    await asyncio.sleep(0.1)
    if "<b>114</b>" in "".join(told()) and "worked out on" in "".join(told()):
        break
print("".join(told()))
"""


def test_a_notebook_shows_the_page_and_moves_it(tmp_path: Path) -> None:
    import nbformat
    from nbclient import NotebookClient

    notebook = nbformat.v4.new_notebook()
    notebook.cells = [nbformat.v4.new_code_cell(cell) for cell in (SHOW, MOVE, LOOK)]
    resources = {"metadata": {"path": str(tmp_path)}}
    NotebookClient(notebook, timeout=PATIENCE_S, kernel_name="python3", resources=resources).execute()
    outputs = notebook.cells[0].outputs
    [shown] = [each.data["text/html"] for each in outputs if each.output_type == "execute_result"]
    assert "A bed and its water" in shown
    assert not re.search(r"""(?:src|href)=["']https?://""", shown)
    # Scripts come in the notebook, and none is asked of the network.
    [scripts] = [
        text
        for each in outputs
        if "const inline_js" in (text := str(each.get("data", {}).get("application/javascript")))
    ]
    for kind in ("js_urls", "js_modules", "css_urls"):
        assert f"const {kind} = [];" in scripts
    [said] = notebook.cells[2].outputs
    cycle = bf.default_case().replace({"service.volume_bv": None, "regeneration.dose_g_per_l": 60.0}).cycle()
    assert (
        f"<b>{cycle.run_length_bv:.0f}</b> <i>BV</i>" in said.text and f"worked out on {cycle.cells} cells" in said.text
    )


def test_every_thread_of_a_closed_page_ends() -> None:
    from brinefront.live import latest

    worker = latest.Latest(lambda _: None)
    worker.submit(1)
    latest.close_all()
    end = time.monotonic() + PATIENCE_S
    while any(each.name.startswith("brinefront-live") for each in threading.enumerate()):
        assert time.monotonic() < end
        time.sleep(0.01)
