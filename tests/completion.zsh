#!/bin/zsh
# SPDX-License-Identifier: GPL-3.0-or-later
# completion.zsh PAGES FOLDER: what zsh offers in FOLDER, asked in a terminal of its own. reference.sh calls it.
zmodload zsh/zpty || exit 1
pages=$1
folder=$2
bad=0
zpty shell zsh -f -i
ask() { # lines typed before what is asked
  zpty -w shell "$1"
}
ask "PS1=; unset zle_bracketed_paste; fpath=($pages \$fpath); autoload -Uz compinit; compinit -u -D; cd $folder"
# All candidates on one line, between marks.
ask 'show() { local -a got; compadd() { if [[ ${@[(r)-(O|A|D)]} = -(O|A|D) || -n ${@[(r)-[OAD]]} ]]; then builtin compadd "$@"; else builtin compadd -O got "$@"; all+=("${got[@]}"); builtin compadd "$@"; fi }; all=(); _main_complete; unfunction compadd; print -r -- "<<${(j:,:)${(ou)all}}>>"; compstate[insert]=; compstate[list]=; }'
ask 'zle -C show complete-word show; bindkey "^I" show; print READ""Y'
zpty -r shell seen '*READY*'
offers() { # TYPED EXPECTED
  zpty -w -n shell "$1"$'\t'
  zpty -r shell seen '*<<*>>*'
  seen=${${seen##*<<}%%>>*}
  zpty -w -n shell $'\x15'
  if [[ $seen != $~2 ]]; then
    print -r -- "\"$1\" offers \"$seen\", not \"$2\""
    bad=1
  fi
}
offers 'pushcycle se' 'sensitivity*'
offers 'pushcycle run --units ' '*metric?us*'
offers 'pushcycle run --un' '*--units*'
offers 'pushcycle assign --least ' '*time?cost*'
offers 'pushcycle run ' '*a.yaml*'
zpty -d shell
exit $bad
