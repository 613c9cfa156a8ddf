# SPDX-License-Identifier: GPL-3.0-or-later
"""board_save.py URL_FILE OUTPUT: asks a board to save layouts, of which only the last can be read back; prints the
status of each answer, whether OUTPUT is there by then, and what the answer says is wrong."""

import json
import os
import sys
import urllib.error
import urllib.parse
import urllib.request

SQUARE = [[0, 20], [9, 20], [9, 26], [0, 26]]
CROSSED = [[0, 20], [9, 26], [9, 20], [0, 26]]

with open(sys.argv[1], encoding="utf-8") as file:
    url = urllib.parse.urlsplit(file.read().strip())
own = f"{url.scheme}://{url.netloc}"


def save(layout, zone, outline=SQUARE):
    body = {"layout": layout, "zones": [{"name": zone, "from": None, "outline": outline}]}
    headers = {"Origin": own, "Content-Type": "application/json", "X-Pushcycle-Token": url.query.removeprefix("token=")}
    try:
        with urllib.request.urlopen(urllib.request.Request(f"{own}/save", json.dumps(body).encode(), headers)) as answer:
            status, why = answer.status, ""
    except urllib.error.HTTPError as answer:
        status, why = answer.code, json.load(answer)["error"]
    print(status, os.path.exists(sys.argv[2]), why)


save("\u00e4" * 32, "b")  # 32 characters, 64 bytes
save("all", "b")
save("two\nlines", "b")
save("mine", "a\ttab")
save("mine", "b", CROSSED)
save("\u00e4\u2028\u00f6", "b")
