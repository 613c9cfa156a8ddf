# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs a command and presses Ctrl-C: interrupt.py [--tty] SECONDS[,SECONDS...] COMMAND...

SIGINT is sent after so many seconds, and again after so many more. Then says how the command ended: "exit N", "signal N",
or "hangs" if it is still there after a minute. With --tty its standard error is a terminal; what it writes there comes out
with a line for each carriage return."""
import os
import signal
import subprocess
import sys
import threading
import time

words = sys.argv[1:]
tty = words[0] == '--tty'
words = words[tty:]
mine = their = None
if tty:
    mine, their = os.openpty()
process = subprocess.Popen(words[1:], stderr=their)
shown = []


def listen():
    try:
        while piece := os.read(mine, 4096):
            shown.append(piece)
    except OSError:  # the other end is closed
        pass


if tty:
    os.close(their)
    listener = threading.Thread(target=listen)
    listener.start()
for seconds in words[0].split(','):
    time.sleep(float(seconds))
    process.send_signal(signal.SIGINT)
try:
    code = process.wait(60)
    print(f'exit {code}' if code >= 0 else f'signal {-code}')
except subprocess.TimeoutExpired:
    process.kill()
    print('hangs')
if tty:
    listener.join()
    sys.stderr.write(b''.join(shown).decode().replace('\r', '\n'))
