"""How forms are drawn: one field template for the whole house."""

from typing import Any

from django.forms.renderers import TemplatesSetting
from django.forms.utils import flatatt
from django.http import HttpRequest
from django.utils.html import format_html
from django.utils.safestring import SafeString


class LedgerRenderer(TemplatesSetting):
    """Draws forms from ``templates/form/``; needs ``django.forms`` among the installed apps.

    A list to choose from is drawn at once: two templates for each choice were half of a page.
    """

    form_template_name = "form/form.html"
    formset_template_name = "form/formset.html"
    field_template_name = "form/field.html"

    def render(
        self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None
    ) -> str:
        if template_name == "django/forms/widgets/select.html":
            return _select(context["widget"])
        return super().render(template_name, context, request)


def _select(widget: dict[str, Any]) -> SafeString:
    groups = [_group(name, choices) for name, choices, _ in widget["optgroups"]]
    attributes = flatatt(widget["attrs"])
    return format_html(
        '<select name="{}"{}>{}</select>', widget["name"], attributes, SafeString("".join(groups))
    )


def _group(name: str | None, choices: list[dict[str, Any]]) -> SafeString:
    """Options under a name, or one without: Django makes each of those a group of its own."""
    options = SafeString("".join(_option(choice) for choice in choices))
    return format_html('<optgroup label="{}">{}</optgroup>', name, options) if name else options


def _option(choice: dict[str, Any]) -> SafeString:
    attributes = flatatt(choice["attrs"]) if choice["attrs"] else ""
    drawn = '<option value="{}"{}>{}</option>'
    return format_html(drawn, choice["value"], attributes, choice["label"])
