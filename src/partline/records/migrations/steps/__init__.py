"""One file a step, each named; a step that was released is never edited."""
