#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# doxygen_filter.sh HEADER: the header as Doxygen wants it. Headers have plain comments, written for whoever reads
# them in an editor: the first one is about the file, one before a declaration is about that and about those that
# follow it without an empty line, one behind a declaration is about what stands before it. What every function of
# a name does is said here.
exec awk '
  # Words that Doxygen would take for its own: commands, links, HTML.
  function plain(text) {
    gsub(/\\/, "\\\\\\", text)
    gsub(/[@#]/, "\\\\&", text)
    gsub(/</, "\\\\<", text)
    gsub(/>/, "\\\\>", text)
    gsub(/::/, "\\::", text)
    return text
  }
  NR == 1 { print "//"; next } # licence
  own { # a comment on lines of its own goes on
    shared = shared "\n" plain($0)
    print plain($0)
    if (/\*\//) { own = 0; told = 1 }
    next
  }
  behind { # one behind a declaration does
    print plain($0)
    if (/\*\//) behind = 0
    next
  }
  /^[ \t]*\/\*/ {
    open = match($0, /\/\*/)
    shared = substr($0, 1, open - 1) "/**" (seen++ ? "" : " @file\n *") plain(substr($0, open + 2))
    print shared
    own = $0 !~ /\*\//
    told = !own
    next
  }
  /^$/ { shared = "" }
  /^(PC_API|PC_MUST_USE|static inline)/ && !told {
    if (shared != "") print shared
    else if (/_free\(/) print "/** Releases what it holds. */"
    else if (/_default\(/) print "/** Every field at its default. */"
    else if (/_validate\(/) print "/** Adds what is wrong with it to the faults; their keys begin with the prefix. */"
  }
  { told = 0 }
  /\/\*/ && !/^#/ {
    open = match($0, /\/\*/)
    print substr($0, 1, open - 1) "/**<" plain(substr($0, open + 2))
    behind = $0 !~ /\*\//
    next
  }
  { print }' "$1"
