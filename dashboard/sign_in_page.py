"""The pages for signing in and out: plain forms that need no script."""

from __future__ import annotations

import flask

from dashboard import texts as common
from dashboard.texts import access as texts

# Names that people wrote are escaped: Jinja does so in every template from a string.
_PAGE = """<!DOCTYPE html>
<html lang="en">
  <head>
    <meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1">
    <meta name="color-scheme" content="light dark">
    <title>{{ title }} · {{ program }}</title>
    <link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
    <link rel="stylesheet" href="/assets/base.css">
    <link rel="stylesheet" href="/assets/sign_in.css">
  </head>
  <body>
    <main class="sign-in">
      <p class="brand"><img src="/assets/mark.svg" alt="" width="40" height="40">
        <span>{{ program }}</span></p>
      {% if shop %}<p class="shop">{{ shop }}</p>{% endif %}
      <h1>{{ title }}</h1>
      {% if said %}<div class="message problem" role="alert"><span class="sign" aria-hidden="true">!
        </span><p>{{ said }}</p></div>{% endif %}
      <form method="post" action="{{ action }}">
        <input type="hidden" name="token" value="{{ token }}">
        {% if asks %}
        <input type="hidden" name="to" value="{{ to }}">
        {% if by_name %}
        <label>{{ texts.NAME }}
        <input name="name" value="{{ name }}" maxlength="200" required
          autocomplete="username" autocapitalize="none" spellcheck="false"
          {% if not name %}autofocus{% endif %}></label>
        {% endif %}
        <label>{{ texts.PASSWORD }}
        <input name="password" type="password" maxlength="200" required
          autocomplete="current-password" {% if name or not by_name %}autofocus{% endif %}></label>
        {% endif %}
        <button class="button main" type="submit">{{ title }}</button>
      </form>
      {% if not asks %}<p><a class="way" href="/">{{ texts.BACK }}</a></p>{% endif %}
    </main>
  </body>
</html>"""


def sign_in_page(
    token: str, *, to: str, said: str = "", name: str = "", by_name: bool = True, shop: str = ""
) -> str:
    """The form that asks for name and password, or for the one password."""
    return flask.render_template_string(
        _PAGE, title=texts.SIGN_IN, action="/sign-in", asks=True, token=token, to=to, said=said,
        name=name, by_name=by_name, shop=shop, texts=texts, program=common.PROGRAM,
    )  # fmt: skip


def sign_out_page(token: str, said: str = "") -> str:
    """The form that ends a session."""
    return flask.render_template_string(
        _PAGE, title=texts.SIGN_OUT, action="/sign-out", asks=False, token=token, said=said,
        texts=texts, program=common.PROGRAM,
    )  # fmt: skip
