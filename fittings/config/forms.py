"""How forms are drawn: one field template for the whole house."""

from django.forms.renderers import TemplatesSetting


class LedgerRenderer(TemplatesSetting):
    form_template_name = "form/form.html"
    field_template_name = "form/field.html"
