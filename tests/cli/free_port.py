"""A port for a server that is yet to be started."""

import os
import socket

# below those that the system gives out by itself (from 32768): one of them may be given to any connection before the server begins
FIRST, MANY = 20_000, 12_000
_ports = iter([FIRST + (101 * os.getpid() + k) % MANY for k in range(MANY)])  # tests in another process begin elsewhere


def free_port():
    """One that nobody listens at, and that this process has not named before."""
    for port in _ports:
        with socket.socket() as tried:
            if tried.connect_ex(("127.0.0.1", port)):
                return port
    raise AssertionError("no port is free")
