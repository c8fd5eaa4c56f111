"""Reading a folder of pictures, keeping each once, and tying them to bags and steps.

``opening`` opens a picture safely and says what it is, ``keeping`` looks over a folder and stores
each by its content, ``thumbs`` makes small upright copies, ``codes`` finds the labels in a picture;
``filing`` decides, purely, which bag or step a picture belongs to. No database here: pictures go
in, values come out.
"""
