"""Reading a folder of pictures, keeping each once, and tying them to bags and steps.

``opening`` opens one picture safely, ``look`` says what it is, ``folder`` looks over many,
``keeping`` stores one by its content, ``thumbs`` makes small upright copies, ``codes`` finds the
labels in a picture; ``by_label`` and ``by_time`` decide, purely, which bag or step a picture
belongs to. No database here: pictures go in, values come out.
"""
