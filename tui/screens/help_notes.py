"""What the help of each screen says beside its keys: the signs that stand there, and what is reckoned how."""

from __future__ import annotations

RELATIVE = "~62: the value is relative. No white told the light; the order holds within one photograph only."

NOTES = {
    "stash": (
        "Value is CIE L*: 0 is black, 100 is white. A star behind it says it was set by eye; every search takes it.",
        RELATIVE,
        "On hand: yards of yardage, then the other pieces; fq fat quarter, fe fat eighth.",
        "Mark: the letters of the star on the table and whether the stash covers them.",
        "✓ covered   ≈ tight   ✗ short, with the strips missing   ? not measured yet",
    ),
    "star": (
        "A capital letter picks its row, Shift+D row D, as on the chart; so does a click. The wheel tries fabrics.",
        "Row 1 is the star's centre, the last row its tip. Value is CIE L*, + or − how far from the target it is.",
        "In the bar ● is the value, │ the target, ◉ both. Strips: on hand of those needed. ■ the row is locked.",
        "✓ covered   ≈ tight   ✗ short, with the strips missing   ? not measured   about, or ✓~: a piece is estimated",
        RELATIVE,
        "What is kept is saved at once; {app.undo} takes it back. Locks and bans last while the program is open.",
    ),
    "suggestions": (
        "Steps are of value from letter to letter. Below the colours stand the greys of the values, then the marks.",
        "✓ covered   ≈ tight   ✗ short   ? not measured   ≋ a row of it is near the ground's value",
        RELATIVE,
        "Near a fabric (a wish, or {stash.near} on the Stash screen): how many of its main colours a run meets is said "
        "below.",
        "Rows side by side: they blend, or are of the same value in two colours, or are busy prints that overlap.",
        "A fabric locked on the Star screen stays; a banned one is left out.",
    ),
    "sizes": (
        "✓ covered: the search finds a run of fabrics for it. ✗2: two letters that no fabric of the stash covers.",
        "Fabrics not measured yet count as enough, unless the wishes say measured only. The star spans the bed named.",
        "Wishes, ground and locked rows of the star on the table count; a letter keeps its fabric in every grid.",
        "A click takes a star, a click on the star in hand opens it.",
        "Cloth that plans of other stars hold does not count, unless {star.with_held} on the Star screen says so.",
    ),
    "cutting": (
        "The ruler counts from the straightened edge, or from where the last strip that is booked came off.",
        "Strips along the cloth are measured from a side; the end that is straightened first is where they begin.",
        "Ticked is booked: the stash goes down at once, and {app.undo} takes the newest booking back.",
        "A kept plan holds its cloth against other stars until it is cut or let go.",
        "A click on a box ticks it, a double click any line.",
    ),
    "history": (
        "A change can be taken back while nothing later builds on it. Where something does, it is named.",
        "An undo stands in the history too; what it took back is struck out.",
    ),
}
