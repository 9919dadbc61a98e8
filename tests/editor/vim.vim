" What the commands of grammar/EDITORS.md do in Vim, in a folder with a recipe at fault.
function! Must(what, is, got)
  if !a:is
    call writefile([a:what . ': ' . string(a:got)], 'told')
    cquit!
  endif
endfunction

function! Wait(what, Is)
  for n in range(400)
    if a:Is()
      return
    endif
    sleep 50m
  endfor
  call Must(a:what, 0, 'nothing came')
endfunction

function! Lines()
  return join(getline(1, '$'), "\n")
endfunction

function! Windows()
  return join(map(range(1, winnr('$')), {_, n -> join(getbufline(winbufnr(n), 1, '$'), "\n")}), "\n")
endfunction

" What is asked is answered: with the new name, or with what is offered first.
runtime autoload/ale/util.vim
function! ale#util#Input(message, ...)
  return a:message =~? 'name' ? 'step' : '1'
endfunction
" Without a screen what is echoed is not seen.
let g:ale_hover_to_preview = 1

edit first.heat
call Must('the mode', &filetype ==# 'heatbook', &filetype)
call Wait('no findings', {-> !empty(getloclist(0))})
let finding = getloclist(0)[0]
call Must('the finding', finding.lnum == 4 && finding.text =~# '`thik` makes no sense', finding)

call cursor(4, 16)
ALECodeAction
call Wait('not mended', {-> Lines() =~# '2 mm thick'})
silent write
call Wait('the finding stays', {-> empty(filter(getloclist(0), {_, one -> one.type ==# 'E'}))})

call cursor(2, 12)
ALEHover
call Wait('nothing is told', {-> Windows() =~# 'A rung of plain steel'})
pclose
call cursor(2, 12)
ALEFindReferences
call Wait('no references', {-> Windows() =~# 'second.heat'})
pclose
silent! only
call cursor(2, 12)
ALERename
call Wait('no new name', {-> Lines() =~# '= step(w'})
call Wait('the other file', {-> join(readfile('second.heat')) =~# '= step()'})
call cursor(2, 12)
ALEGoToDefinition
call Wait('it leads nowhere', {-> expand('%:t') ==# 'ladder.heat' && line('.') == 3})
call writefile(['all commands did what the page says'], 'told')
qa!
