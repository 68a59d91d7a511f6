;;; ampwright.el --- Boat wiring plans with eglot  -*- lexical-binding: t; -*-

;;; Commentary:
;; Needs `ampwright' on the PATH and eglot (part of Emacs from 29 on).  In your init file:
;;   (load "PATH/TO/ampwright/editors/emacs/ampwright.el")

;;; Code:
(define-derived-mode boat-mode prog-mode "Boat"
  "Major mode for boat wiring plans."
  (setq-local comment-start "# "
              comment-start-skip "#+\\s-*"
              indent-tabs-mode nil
              tab-width 4))

(add-to-list 'auto-mode-alist '("\\.boat\\'" . boat-mode))
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(boat-mode . ("ampwright" "serve"))))
(add-hook 'boat-mode-hook #'eglot-ensure)

(provide 'ampwright)
;;; ampwright.el ends here
