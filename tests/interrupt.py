# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs a command and presses Ctrl-C: interrupt.py [--tty] SECONDS[,SECONDS...] COMMAND... or
interrupt.py --at SHARE COMMAND...

SIGINT is sent after so many seconds, and again after so many more; or when the command says that so much of its work is
done ("300 of 1000 ..."; 0.3), whatever the machine's speed. Then says how the command ended: "exit N", "signal N", or
"hangs" if it is still there after a minute. With --tty or --at its standard error is a terminal; what it writes there
comes out with a line for each carriage return."""
import os
import re
import signal
import subprocess
import sys
import threading
import time

words = sys.argv[1:]
at = words[0] == '--at'
tty = at or words[0] == '--tty'
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


def share_done():
    told = re.findall(rb'(\d+) of (\d+) [a-z]+, about', b''.join(shown))
    return int(told[-1][0]) / int(told[-1][1]) if told else 0


if tty:
    os.close(their)
    listener = threading.Thread(target=listen)
    listener.start()
if at:
    end = time.monotonic() + 300
    while share_done() < float(words[0]) and process.poll() is None and time.monotonic() < end:
        time.sleep(0.05)
    process.send_signal(signal.SIGINT)
else:
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
