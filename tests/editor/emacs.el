;; What the commands of grammar/EDITORS.md do in Emacs, in a folder with a recipe at fault.  -*- lexical-binding: t -*-
(require 'cl-lib)
(require 'flymake)
(require 'imenu)
(require 'xref)

(defun must (what is got)
  (unless is
    (message "\n%s: %S" what got)
    (kill-emacs 1)))

(defun wait (what is)
  (let ((end (+ (float-time) 20)))
    (while (and (not (funcall is)) (< (float-time) end))
      (accept-process-output nil 0.05))
    (must what (funcall is) "nothing came")))

(defun at-words (words behind)
  (goto-char (point-min))
  (search-forward words)
  (goto-char (+ (match-beginning 0) behind)))

;; What is told to the server when nobody types: without a screen nobody ever does nothing.
(defun nobody-types () (eglot--signal-textDocument/didChange))

(defun all-lines () (buffer-substring-no-properties (point-min) (point-max)))

(setq eglot-confirm-server-initiated-edits nil)
(find-file "first.heat")
(defvar recipe (current-buffer))
(must "the mode" (eq major-mode 'heatbook-mode) major-mode)
;; Without a screen nobody goes round the loop of commands.
(run-hooks 'post-command-hook)
(wait "no server" (lambda () (eglot-current-server)))
(flymake-start)
(wait "no findings" (lambda () (flymake-diagnostics)))
(let ((text (flymake-diagnostic-text (car (flymake-diagnostics)))))
  (must "the finding" (string-match-p "`thik` makes no sense" text) text))

;; Mends.
(at-words "thik" 1)
(let ((offers (eglot-code-actions (point) nil "quickfix")))
  (must "no mend" offers offers)
  ;; What is asked is answered with what is offered first.
  (setq last-nonmenu-event ?x)
  (cl-letf (((symbol-function 'completing-read) (lambda (_ items &rest _) (caar items))))
    (call-interactively #'eglot-code-actions)))
(wait "not mended" (lambda () (string-match-p "2 mm thick" (all-lines))))
(nobody-types)

;; What stands under the cursor, and where its name is given.
(at-words "rung(" 1)
(let (told)
  (eglot-hover-eldoc-function (lambda (text &rest _) (setq told text)))
  (wait "nothing is told" (lambda () told))
  (must "what is told" (string-match-p "A rung of plain steel" told) told))
(at-words "rung(" 1)
(xref-find-definitions (symbol-at-point))
(must "where it leads" (string-suffix-p "ladder.heat" (buffer-file-name)) (buffer-file-name))
(must "the line" (= (line-number-at-pos) 3) (line-number-at-pos))
(switch-to-buffer recipe)

;; References, and a rename in a file that is not open.
(at-words "rung(" 1)
(let ((files (mapcar (lambda (item) (file-name-nondirectory (xref-location-group (xref-item-location item))))
                     (xref-backend-references 'eglot (xref-backend-identifier-at-point 'eglot)))))
  (must "references" (member "second.heat" files) files))
(at-words "rung(" 1)
(cl-letf (((symbol-function 'y-or-n-p) (lambda (&rest _) t)))
  (eglot-rename "step"))
(wait "no new name" (lambda () (string-match-p "= step(w" (all-lines))))
(nobody-types)
(with-current-buffer (find-file-noselect "second.heat")
  (must "the other file" (string-match-p "= step()" (all-lines)) (all-lines))
  (nobody-types))
(with-current-buffer "ladder.heat" (nobody-types))

;; The outline, what could stand there, the house style.
(switch-to-buffer recipe)
(let ((outline (imenu--make-index-alist t)))
  (must "the outline" (string-match-p "draw a" (format "%S" outline)) outline))
(at-words "grind" 0)
(eglot-format (line-beginning-position) (line-end-position))
(nobody-types)
(must "the line" (string-match-p "^grind a edges gap$" (all-lines)) (all-lines))
(goto-char (point-max))
(insert "let  more=3 mm\n")
(nobody-types)
(eglot-format)
(must "the house style" (string-match-p "^let more = 3 mm$" (all-lines)) (all-lines))
(goto-char (point-max))
(insert "draw ")
(nobody-types)
(let* ((offered (eglot-completion-at-point))
       (all (all-completions "" (nth 2 offered))))
  (must "no offers" (member "a" (mapcar #'substring-no-properties all)) all))

(message "all commands did what the page says")
(kill-emacs 0)
