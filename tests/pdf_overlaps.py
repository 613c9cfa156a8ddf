# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads what `pdftotext -bbox` prints and says how many pages and words there are, how many pairs of words of a page
lie on each other, and how many words run off their page. A word's box is as high as its font's longest letters, so the
upper and lower quarter of it is not counted."""
import re
import sys

pages = words = overlaps = off = 0
for page in sys.stdin.read().split("<page ")[1:]:
    width, height = (float(x) for x in re.search(r'width="([\d.]+)" height="([\d.]+)"', page).groups())
    boxes = []
    for match in re.findall(r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"', page):
        x0, y0, x1, y1 = (float(x) for x in match)
        off += x0 < 0 or y0 < 0 or x1 > width or y1 > height
        quarter = (y1 - y0) / 4
        boxes.append((x0 + 0.3, y0 + quarter, x1 - 0.3, y1 - quarter))
    for i, a in enumerate(boxes):
        overlaps += sum(a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for b in boxes[:i])
    words += len(boxes)
    pages += 1
print(f"{pages} pages, {words} words, {overlaps} overlaps, {off} off the page")
