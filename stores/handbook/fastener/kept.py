"""What stands in square brackets: text no rule understood, kept as written."""

from stores.handbook.fastener.tokens import Mark, Token

__all__ = ["fold_kept", "written"]


def fold_kept(text: str, tokens: list[Token]) -> list[Token]:
    """Join every pair of square brackets and all it holds into one token."""
    if not any(t.mark is Mark.OPEN and t.text == "[" for t in tokens):
        return tokens
    out: list[Token] = []
    at = 0
    while at < len(tokens):
        first = tokens[at]
        if first.mark is not Mark.OPEN or first.text != "[":
            out.append(first)
            at += 1
            continue
        end, level = at, 0
        while end < len(tokens):
            level += (tokens[end].text == "[") - (tokens[end].text == "]")
            end += 1
            if not level:
                break
        stop = tokens[end - 1].end if level else tokens[end - 1].start
        inner = written(text[first.end : stop])
        out.append(Token(Mark.KEPT, inner, first.start, tokens[end - 1].end, spaced=first.spaced))
        at = end
    return out


def written(text: str) -> str:
    """Give a text on one line; square brackets that do not pair are written round."""
    line = " ".join(text.split())
    level = 0
    for char in line:
        level += (char == "[") - (char == "]")
        if level < 0:
            break
    return line if not level else line.replace("[", "(").replace("]", ")")
