# SPDX-License-Identifier: GPL-3.0-or-later
"""The auditor behind tests/audit.py: docs/model.md and the scenario file in, complaints about a run out."""
