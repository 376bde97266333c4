"""1500 idle connections of a caller who has not signed in keep nobody out, and the log has one line of it."""

import resource
import socket
import time

PASSWORD = "quiet harbour 7"
IDLE = 1500


def room_for_files():
    """This process holds as many sockets as it opens."""
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(4096, most), most))


def attack(ctx):
    room_for_files()
    server = ctx.server()
    assert server.instead("--set-password", text=PASSWORD + "\n").returncode == 0
    with server:
        answer = server.call("POST", "/api/session", {"password": PASSWORD})
        assert answer.status == 200, answer
        session = {"Cookie": answer.headers["set-cookie"].split(";")[0]}
        assert server.call("GET", "/api/jobs", headers=session).status == 200
        idle, refused = [], 0
        for k in range(IDLE):
            try:
                idle.append(server.connect(timeout=5))
                if k % 3 == 1:
                    idle[-1].sendall(b"GET /api/jobs HTTP/1.1\r\nHost: 127.0")
                elif k % 3 == 2:
                    idle[-1].sendall(b"POST /api/session HTTP/1.1\r\nHost: x\r\nContent-Length: 900\r\n\r\n{")
            except OSError:
                refused += 1
        begun = time.perf_counter()
        # The person's own connection is still there, and a new one is let in.
        assert server.call("GET", "/api/jobs", headers=session).status == 200
        with socket.create_connection(("127.0.0.1", server.port), timeout=5) as fresh:
            fresh.sendall(f"GET /api/shop HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n\r\n".encode())
            assert fresh.recv(12) == b"HTTP/1.1 200"
        seconds = time.perf_counter() - begun
        assert seconds < 5, f"let in after {seconds:.1f} s"
        lines = [line for line in server.log().splitlines() if "too many connections" in line]
        assert len(lines) == 1, lines
        for connection in idle:
            connection.close()
        assert server.call("GET", "/api/jobs", headers=session).status == 200
        figures = server.figures()
        ended = server.stop()
        return f"{IDLE} idle, {refused} refused, let in after {1000 * seconds:.0f} ms, ended in {ended:.1f} s, {figures}"
