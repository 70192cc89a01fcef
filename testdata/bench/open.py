#!/usr/bin/python3
"""How long Chromium takes to open a page, by the page's own clock (performance.now() when
load has fired, from navigation's start), pictures that come into view not waited for:

    go test ./internal/report -run Thousand -page /somewhere/report.html
    open.py /somewhere/report.html

The page is served from this machine with a line of script put before its end, which
sends the figures back. A window of its own is opened each round; the browser's start is
not in the figures.
"""
import argparse
import http.server
import json
import os
import shutil
import subprocess
import tempfile
import threading
import urllib.parse

PATIENCE_S = 120
PROBE = b"""<script>addEventListener("load", () => { const t = performance.now(); setTimeout(() => fetch("/probe?" +
encodeURIComponent(JSON.stringify({ load_s: t / 1000, first_paint_s: performance.getEntriesByType("paint").map(p => p.startTime / 1000)[0],
elements: document.getElementsByTagName("*").length }))))})</script></body>"""


class Handler(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_):
        pass

    def do_GET(self):
        path, _, query = self.path.partition("?")
        if path == "/probe":
            self.server.found = json.loads(urllib.parse.unquote(query))
            self.server.done.set()
            self.reply(b"", "text/plain")
        elif path == "/" + os.path.basename(self.server.page):
            with open(self.server.page, "rb") as f:
                self.reply(f.read().replace(b"</body>", PROBE), "text/html")
        elif path == "/favicon.ico":
            self.reply(b"", "image/x-icon")
        else:
            self.server.pictures += 1
            super().do_GET()

    def reply(self, body, kind):
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)


def opened(server, browser, window):
    """Opens the page once and waits until it has told."""
    server.found, server.pictures = None, 0
    server.done.clear()
    profile = tempfile.mkdtemp()
    url = f"http://127.0.0.1:{server.server_port}/{os.path.basename(server.page)}"
    run = subprocess.Popen([browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--remote-debugging-port=0",
                            f"--user-data-dir={profile}", f"--window-size={window}", url],
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        server.done.wait(PATIENCE_S)
    finally:
        run.terminate()
        run.wait()
        shutil.rmtree(profile, ignore_errors=True)
    return server.found


def main():
    args = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    args.add_argument("--browser", default="chromium")
    args.add_argument("--window", default="1280,900")
    args.add_argument("--rounds", type=int, default=3)
    args.add_argument("page")
    opt = args.parse_args()
    page = os.path.abspath(opt.page)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), lambda *a: Handler(*a, directory=os.path.dirname(page)))
    server.page, server.done = page, threading.Event()
    threading.Thread(target=server.serve_forever, daemon=True).start()
    for _ in range(opt.rounds):
        found = opened(server, opt.browser, opt.window)
        if found is None:
            raise SystemExit(f"the page did not open within {PATIENCE_S} s")
        print(f"{os.path.getsize(page) / 1e6:.1f} MB, {found['elements']} elements: loaded after {found['load_s']:.2f} s, "
              f"first paint {found['first_paint_s'] or 0:.2f} s, {server.pictures} pictures fetched")


if __name__ == "__main__":
    main()
