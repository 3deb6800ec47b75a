"""One small condition language, held as data and evaluated in three values.

True, False, and None for «can't be told», joined by Kleene's rules: an open answer never turns into a no. Rules
and criteria are made of these nodes; nothing in them is a function, so they can be printed and read as data.

A path is field names joined by dots, read from the examination (``lesion.elevation``); one that starts with ``@.``
is read from the item at hand (``@.light`` while each view is looked at), and ``@`` is that item itself; one that starts
with ``whole.`` is read from the description of the whole lesion, and is empty where every view shows only a part of it.
A path goes on into a vocabulary row's attributes (``lesion.site.head_and_neck``). Whatever is missing on the way, or is
somebody else's code where a row's attribute is asked, gives None.
"""
