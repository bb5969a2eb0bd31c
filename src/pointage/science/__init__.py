"""Published models, one function each: plain floats in, plain floats out.

Every public function here says, in its docstring, what it computes and by which equation, and then,
each as a paragraph of its own that begins with the word:

    Units:   of every argument and of the answer.
    Range:   within which the model may be used, and what it does outside.
    Source:  the paper, standard or handbook; "from memory" or "ours" where that is the truth.

A test refuses a public function without them.
"""
