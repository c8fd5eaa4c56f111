"""The bench in a browser: pages for a phone, a tablet and the desk.

A page reads a form, calls one use-case and shows its reply; nothing is decided here that the
command line decides elsewhere. Loaded by ``stores serve`` alone.

::

    app          the application: which page answers which address
    visit        one request: what was typed, which machine, how a page is made
    forms        a use-case as a form: its fields, how they are read, what is shown of the reply
    deeds/       what can be recorded and asked, a table for each subject
    pages/       the screens that are more than one form
    follow       what a device has before it, for the desk to follow
    spoken       replies of use-cases in words as HTML; a command becomes a link
    ahead        the plan, worked out in the quiet after an act
    packed       static files, packed for the way
    guard        who may ask, and how much may be sent
    devices      which devices are paired, and the codes that let one in
    network      this computer on the local network: its address, its names, a port
    certificate  HTTPS with a root of one's own
    server       the process that serves, and how it stops
    uploads      pictures that are sent: names of ours, decoded one at a time, gone when done with
    templates/ static/    what the browser is sent; static/zxing/ is a package's, with its licence
"""
