"""Many sites at once: a folder of site files or a table of windows in, tables of results out.

    sources ──> Part, a few sites each ──> engines ──> work ──> store ──> merge ──> CSV, Parquet
     columns                                cores or a cluster    what is done is kept on disk

A part is worked out whole, by whichever process, and kept in a file of its own. What a run does not
get to is done by the next one. The results depend on the input alone: not on how many processes
there were, where they ran, or how often the work was stopped.
"""
