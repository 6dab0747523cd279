"""How forms are drawn: one field template for the whole house."""

from django.forms.renderers import TemplatesSetting


class LedgerRenderer(TemplatesSetting):
    """Draws forms from ``templates/form/``; needs ``django.forms`` among the installed apps."""

    form_template_name = "form/form.html"
    formset_template_name = "form/formset.html"
    field_template_name = "form/field.html"
