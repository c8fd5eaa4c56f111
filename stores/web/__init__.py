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

``/do/NAME`` is a `Deed`: a table in ``deeds/SUBJECT.py`` says its fields, and ``option`` is what
the command line calls a field, so that a sentence that names an option names the field's label.
``/ask/NAME`` is an `Inquiry`. The screens send their forms to ``/do/NAME`` too: a refusal always
comes back as that deed's own form with everything typed kept. After an act the browser is sent on,
and the next page tells the reply with a way to undo it (`Told`). ``|spoken`` is the only way for a
sentence on to a page: it escapes names and makes links of commands. A form with ``data-send`` goes
by ``static/stores.js``, and waits on the device where there is no network; without script every
form still posts. A label or a joint is drawn from the same boxes in mm on paper (`draw`), in a page
(`svg`) and for a thermal printer (`raster`).

`guard` stands before every page and sets the headers; no inline script or style. What belongs to a
stores and is no part of the record lies beside it, for its owner alone (``beside`` in `devices`). A
test makes its client by ``client_of(house)`` of tests/web/browsing.py; tests/web/test_pages_hold.py
measures every page in a browser, at three sizes, on a record that is hard to show: text at least 18
px, controls 48 px and 8 px apart, contrast 7:1, 60 KB, no other server.
"""
