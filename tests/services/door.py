"""Pages on two machines behind one door that encrypts, work on a third: the example of the README, tried.

The door is nginx with a certificate of its own; the machines are those of `tests/services/hosts.py`.
"""

from __future__ import annotations

import ssl
import subprocess
import tempfile
import time
from pathlib import Path

from tests.services.hosts import HOSTS, Say, Shared, end_machine, inside
from tests.services.live import PASSWORD, LiveStudio
from tests.services.programs import find_program
from tests.services.tapping import Hand

WAIT_SECONDS = 90
PORT = 8443
CONFIGURATION = """
daemon off; pid {folder}/pid; error_log {folder}/error.log;
events {{}}
http {{
  access_log off;
  client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxy; fastcgi_temp_path {folder}/fastcgi;
  uwsgi_temp_path {folder}/uwsgi; scgi_temp_path {folder}/scgi;
  upstream studio {{ server {one}; server {two}; }}
  server {{
    listen {door}:{port} ssl;
    ssl_certificate {folder}/certificate.pem; ssl_certificate_key {folder}/key.pem;
    client_max_body_size 30m;
    location / {{
      proxy_pass http://studio;
      proxy_set_header Host $http_host;
      proxy_set_header X-Forwarded-Proto https;
      proxy_set_header X-Forwarded-For $remote_addr;
    }}
  }}
}}
"""


class BehindDoor(Shared):
    """Two machines that serve pages, two processes each, one that works, and a door before them."""

    def __init__(self, say: Say) -> None:
        super().__init__(say)
        self.address = f"https://{HOSTS['door']}:{PORT}"
        more = {"HTTPS": "1", "SITE_ADDRESS": self.address, "CSRF_TRUSTED_ORIGINS": self.address}
        pages = ("--only", "web", "--webs", "2")
        self.webs = [self.studio(name, *pages, **more) for name in ("one", "two")]
        self.work = self.studio("three", "--only", "work", "--workers", "2", **more)
        self.folder = Path(tempfile.mkdtemp(prefix="studio-door-"))

    def try_all(self) -> None:
        """Every promise, one line each; an AssertionError says which does not hold."""
        for studio in (*self.webs, self.work):
            studio.open_up()
        trusting = self._open_door()
        hand = Hand(self.address, trusting=trusting)
        self._wait_for(hand)
        self.work.run("shell", "--verbosity", "0", "-c", "from tests.services.kills import found; found()")
        hand.sign_in("owner", PASSWORD)
        assert all(name.startswith("__Host-") for name in hand.cookies), hand.cookies
        self.say("signed in through the door over TLS; cookies are bound to it")
        plain = Hand(self.webs[0].address)
        assert plain.ask("GET", "/sign-in/")[0] == 301
        self.say("without encryption every page leads on to where it is")
        self._taps(hand)
        self._work_is_done(hand)
        self._machine_of_pages_lost(hand)
        self.say(f"verify_ledger: {self.work.run('verify_ledger').stdout.strip()}")

    def _open_door(self) -> ssl.SSLContext:
        certificate = self.folder / "certificate.pem"
        subprocess.run(
            [find_program("openssl"), "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"]
            + ["-keyout", str(self.folder / "key.pem"), "-out", str(certificate), "-subj", "/CN=studio"]
            + ["-addext", f"subjectAltName=IP:{HOSTS['door']}"],
            check=True,
            capture_output=True,
        )
        one, two = (f"{studio.host}:{studio.port}" for studio in self.webs)
        words = {"folder": self.folder, "one": one, "two": two, "door": HOSTS["door"], "port": PORT}
        configuration = self.folder / "nginx.conf"
        configuration.write_text(CONFIGURATION.format(**words))
        door = subprocess.Popen([*inside("door"), find_program("nginx"), "-c", str(configuration)])
        self.stack.callback(door.wait)
        self.stack.callback(door.terminate)
        return ssl.create_default_context(cafile=str(certificate))

    def _wait_for(self, hand: Hand) -> None:
        until = time.monotonic() + WAIT_SECONDS
        while True:
            try:
                if hand.ask("GET", "/sign-in/")[0] == 200 and self._are_open():
                    return
            except OSError:
                pass
            said = "\n".join(studio.said()[-1500:] for studio in (*self.webs, self.work))
            assert time.monotonic() < until, f"not open within {WAIT_SECONDS} s\n{said}"
            time.sleep(0.2)

    def _are_open(self) -> bool:
        return "at work here" in self.work.said() and all("open at" in web.said() for web in self.webs)

    def _taps(self, hand: Hand) -> None:
        """Each lands on whichever of four processes; all see the same, and the same key is done once."""
        for number in range(12):
            for _ in range(2):
                tap = {"request_key": f"{number:032x}", "amount": "10 g", "reason": "spill"}
                assert hand.tap("/stores/spill/?tub=B1", **tap)[0] == 302
        assert "19.88" in hand.ask("GET", "/stores/tubs/B1/")[1].decode()
        self.say("12 taps, each sent twice, over four processes on two machines: each done once")

    def _work_is_done(self, hand: Hand) -> None:
        assert hand.tap("/studio/copies/", request_key="f" * 32)[0] == 302
        until = time.monotonic() + WAIT_SECONDS
        while not self.work.rows("select 1 from backups_keptcopy where name <> ''"):
            assert time.monotonic() < until, "no copy was kept"
            time.sleep(0.2)
        assert len(list((self.shared / "copies").glob("*.tar.gz"))) == 1
        done = self.work.rows("select count(*) from jobs_job where state = 'done'")[0][0]
        assert len(_children(self.work)) == 3, "two workers and one clock"
        self.say(f"the copy was made once by one of two workers on the third machine; {done} jobs done")

    def _machine_of_pages_lost(self, hand: Hand) -> None:
        end_machine("one")
        began = time.monotonic()
        codes = [hand.ask("GET", "/stores/")[0] for _ in range(10)]
        assert codes == [200] * 10, codes
        seconds = time.monotonic() - began
        self.say(f"one of the two is gone: 10 pages in {seconds:.1f} s by the other, still signed in")


def _children(studio: LiveStudio) -> list[str]:
    assert studio.up is not None
    return Path(f"/proc/{studio.up.pid}/task/{studio.up.pid}/children").read_text().split()
