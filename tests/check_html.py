# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads an HTML page from standard input and says what is wrong with it, or "html: ok" and what it holds. The parser is
html5lib, which knows the rules of the HTML Living Standard; the rest follows WCAG 2.1 (1.1.1 text for pictures, 1.3.1
headings and table heads, 2.4.1 landmarks, 3.1.1 language)."""
import re
import sys

import html5lib

text = sys.stdin.read()
parser = html5lib.HTMLParser(namespaceHTMLElements=False)
page = parser.parse(text)
wrong = [f"parse error {error}" for error in parser.errors]
tags = list(page.iter())
names = [tag.tag for tag in tags if isinstance(tag.tag, str)]
ids = [tag.get("id") for tag in tags if tag.get("id")]
svgs = [tag for tag in tags if str(tag.tag).endswith("}svg") or tag.tag == "svg"]

if page.get("lang") is None:
    wrong.append("no language")
if names.count("h1") != 1 or names.count("main") != 1:
    wrong.append("not one h1 and one main")
if len(ids) != len(set(ids)):
    wrong.append("an id stands twice")
for svg in svgs:
    titles = [t for t in svg.iter() if str(t.tag).endswith("title")]
    if not titles or not titles[0].text or svg.get("aria-labelledby") != titles[0].get("id"):
        wrong.append("a picture without a title")
for tag in tags:
    if tag.tag == "th" and tag.get("scope") is None:
        wrong.append("a head of a table without scope")
    if tag.tag in ("script", "link", "iframe", "img", "object"):
        wrong.append(f"a {tag.tag}")
    for key, value in tag.items():
        local = str(key).rsplit("}", 1)[-1].rsplit(":", 1)[-1]
        if local.startswith("on"):
            wrong.append(f"an attribute {local}")
        if local in ("href", "src") and (not value.startswith("#") or value[1:] not in ids):
            wrong.append(f"a reference to {value}")
level = 1
for name in names:
    if re.fullmatch("h[1-6]", name):
        if int(name[1]) > level + 1:
            wrong.append(f"{name} below h{level}")
        level = int(name[1])
if re.search(r"(?i)url\((?!#)|@import", text):
    wrong.append("something from elsewhere in the style")

print("\n".join(wrong) if wrong else f"html: ok, {len(svgs)} pictures, {names.count('table')} tables")
sys.exit(1 if wrong else 0)
