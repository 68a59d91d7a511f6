autocmd BufNewFile,BufRead *.boat setfiletype boat
