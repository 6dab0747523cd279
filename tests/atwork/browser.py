"""A signed-in browser as far as the server can tell: its cookies and its token."""

import http.client
from contextlib import suppress
from socket import SHUT_RDWR
from urllib.parse import urlencode, urlsplit

from django.conf import settings
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

TOKEN = "t" * 32  # as long as Django makes one
PATIENCE = 60  # seconds, the most a browser is made to wait here
URLENCODED = "application/x-www-form-urlencoded"


class GoneError(Exception):
    """No answer came: whether the server had the request nobody knows."""


class Browser:
    """One person's; made while the house's own secret key is the settings' one."""

    def __init__(self, user, url=""):
        client = Client()
        client.force_login(user)
        ticket = client.cookies[settings.SESSION_COOKIE_NAME].value
        cookies = {settings.SESSION_COOKIE_NAME: ticket, settings.CSRF_COOKIE_NAME: TOKEN}
        self.headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in cookies.items())}
        self.user, self.url, self.connection = user, url, None

    def hang_up(self):
        """From another thread: whoever waits for an answer here waits no longer."""
        if (connection := self.connection) and (socket := connection.sock):
            with suppress(OSError):
                socket.shutdown(SHUT_RDWR)

    def get(self, address, **headers):
        return self.ask("GET", address, None, headers)

    def post(self, address, fields, *, files=False):
        """Send a form; with ``files`` as multipart. The status and what was answered."""
        if files:
            body, kind = encode_multipart(BOUNDARY, fields), MULTIPART_CONTENT
        else:
            body, kind = urlencode(fields, doseq=True), URLENCODED
        headers = {"Content-Type": kind, "X-CSRFToken": TOKEN, "HX-Request": "true"}
        return self.ask("POST", address, body, headers)

    def ask(self, method, address, body, headers):
        """Each on a connection of its own: people pause longer than the server keeps one."""
        self.connection = http.client.HTTPConnection(urlsplit(self.url).netloc, timeout=PATIENCE)
        try:
            self.connection.request(method, address, body, self.headers | headers)
            answer = self.connection.getresponse()
            return answer.status, answer.read(), answer.headers
        except (OSError, http.client.HTTPException) as problem:
            raise GoneError(str(problem)) from problem
        finally:
            self.connection.close()
