"""The desk: the review page for plans that are being worked on, kept true while files change."""
