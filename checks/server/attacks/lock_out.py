"""Wrong passwords from one address keep nobody else out, nor the owner at this computer, nor one who is signed in."""

import json
import socket

PASSWORD = "quiet harbour 7"


def try_password(server, password, source="127.0.0.1", forwarded=None, cookie=None):
    """Status of a try, on a connection of its own from `source`."""
    head = f"POST /api/session HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/json\r\nConnection: close\r\n"
    head += f"X-Forwarded-For: {forwarded}\r\n" if forwarded else ""
    head += f"Cookie: {cookie}\r\n" if cookie else ""
    body = json.dumps({"password": password})
    with socket.create_connection(("127.0.0.1", server.port), timeout=30, source_address=(source, 0)) as connection:
        connection.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n{body}".encode())
        return int(connection.makefile("rb").readline().split()[1])


def attack(ctx):
    server = ctx.server()
    assert server.instead("--set-password", text=PASSWORD + "\n").returncode == 0
    with server:
        session = server.call("POST", "/api/session", {"password": PASSWORD}).headers["set-cookie"].split(";")[0]
        guesses = [try_password(server, f"guess {i}", forwarded="192.0.2.7") for i in range(8)]
        assert guesses == [401] * 5 + [429] * 3, guesses
        assert try_password(server, PASSWORD, forwarded="192.0.2.7") == 429
        # The same network of IPv6 is one caller, whatever address of it is used.
        network = [try_password(server, "guess", forwarded=f"2001:db8:1:2::{i:x}") for i in range(1, 8)]
        assert network == [401] * 5 + [429] * 2, network
        # Nobody else waits: another address, another network, the owner here, one who is signed in.
        assert try_password(server, PASSWORD, forwarded="192.0.2.8") == 200
        assert try_password(server, PASSWORD, forwarded="2001:db8:1:3::1") == 200
        assert try_password(server, PASSWORD, forwarded="192.0.2.7", cookie=session) == 200
        here = [try_password(server, f"guess {i}") for i in range(8)]
        assert here == [401] * 5 + [429] * 3, here
        assert try_password(server, PASSWORD) == 200
        assert try_password(server, PASSWORD, source="127.0.0.2") == 200
        assert server.call("GET", "/api/jobs", headers={"Cookie": session}).status == 200
        # A header made up by the caller does not help: the proxy's own entry is the last one.
        assert try_password(server, PASSWORD, forwarded="127.0.0.1, 192.0.2.9") == 200
        forged = [try_password(server, "guess", forwarded=f"10.0.0.{i}, 192.0.2.10") for i in range(7)]
        assert forged == [401] * 5 + [429] * 2, forged
        return f"eight guesses from two networks, {server.figures()}"
