"""What is written to customers, its record, and the keys of calendars, the latter guarded."""

import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models

from customers.triggers import guard

forward, backward = guard(["fittings_messageevent", "fittings_wording", "fittings_feedkey"])


def lay_down_rules(apps, schema_editor):
    """The one row of rules, so that looking at a page never writes it."""
    apps.get_model("fittings", "PostRules").objects.create(pk=1)


class Migration(migrations.Migration):

    dependencies = [
        ('customers', '0005_message_consent'),
        ('fittings', '0010_photograph_pins'),
        ('garments', '0009_inlay_balance'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='PostRules',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('reminder_days', models.PositiveSmallIntegerField(default=2, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(30)])),
                ('reminders', models.CharField(choices=[('asked', 'when someone has looked at each and sends it'), ('alone', 'by themselves, as shown in the list beforehand')], default='asked', max_length=10)),
                ('feed_shows', models.CharField(choices=[('number', "the customer's number alone"), ('initials', 'initials and number'), ('name', 'the whole name and number')], default='initials', max_length=10)),
                ('version', models.PositiveIntegerField(default=1)),
            ],
            options={
                'verbose_name_plural': 'post rules',
            },
        ),
        migrations.CreateModel(
            name='Message',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('kind', models.CharField(choices=[('confirmation', 'confirmation'), ('reminder', 'reminder'), ('change', 'change of time'), ('cancellation', 'cancellation'), ('ready', 'ready for collection')], max_length=15)),
                ('booking_version', models.PositiveIntegerField(default=0)),
                ('occasion', models.CharField(max_length=120)),
                ('wording', models.PositiveIntegerField()),
                ('address', models.CharField(blank=True, default='', max_length=254)),
                ('subject', models.CharField(max_length=300)),
                ('body', models.TextField()),
                ('short', models.TextField()),
                ('calendar', models.TextField(blank=True, default='')),
                ('written_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('state', models.CharField(choices=[('waiting', 'waiting'), ('sending', 'being sent'), ('sent', 'sent'), ('told', 'told by phone'), ('stopped', 'stopped'), ('failed', 'not sent'), ('unsure', 'perhaps sent'), ('held', 'held back')], default='waiting', max_length=10)),
                ('tries', models.PositiveSmallIntegerField(default=0)),
                ('next_try_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('claim', models.UUIDField(blank=True, null=True)),
                ('claimed_at', models.DateTimeField(blank=True, null=True)),
                ('booking', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='letters', to='fittings.booking')),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('customer', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='letters', to='customers.customer')),
                ('garment', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='letters', to='garments.garment')),
            ],
            options={
                'ordering': ['-written_at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='MessageEvent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('what', models.CharField(choices=[('written', 'written'), ('told', 'told by phone'), ('held', 'held back'), ('sent', 'handed to the mail server'), ('tried', 'tried in vain'), ('failed', 'given up'), ('stopped', 'stopped'), ('unsure', 'broken off while it was sent'), ('again', 'put back to waiting')], max_length=10)),
                ('why', models.CharField(blank=True, default='', max_length=300)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('message', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='events', to='fittings.message')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Wording',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('kind', models.CharField(choices=[('confirmation', 'confirmation'), ('reminder', 'reminder'), ('change', 'change of time'), ('cancellation', 'cancellation'), ('ready', 'ready for collection')], max_length=15)),
                ('number', models.PositiveIntegerField()),
                ('subject', models.CharField(max_length=150)),
                ('body', models.TextField(max_length=4000)),
                ('short', models.TextField(max_length=600)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.wording')),
            ],
            options={
                'ordering': ['kind', '-number'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='FeedKey',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('void', models.BooleanField(default=False)),
                ('digest', models.CharField(blank=True, db_index=True, default='', max_length=64)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('fitter', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='feed_keys', to=settings.AUTH_USER_MODEL)),
                ('room', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='feed_keys', to='fittings.room')),
                ('strikes', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='struck_by', to='fittings.feedkey')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('fitter__isnull', False), ('room__isnull', True)), models.Q(('fitter__isnull', True), ('room__isnull', False)), _connector='OR'), name='feed_is_of_a_fitter_or_a_room')],
            },
        ),
        migrations.AddIndex(
            model_name='message',
            index=models.Index(fields=['state', 'next_try_at'], name='fittings_me_state_b1b355_idx'),
        ),
        migrations.AddIndex(
            model_name='message',
            index=models.Index(fields=['occasion'], name='fittings_me_occasio_7173d3_idx'),
        ),
        migrations.AddConstraint(
            model_name='message',
            constraint=models.UniqueConstraint(condition=models.Q(('state__in', ['waiting', 'sending', 'sent', 'told', 'unsure', 'held'])), fields=('occasion',), name='one_message_of_an_occasion'),
        ),
        migrations.AddConstraint(
            model_name='message',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('booking__isnull', False), ('garment__isnull', True)), models.Q(('booking__isnull', True), ('garment__isnull', False)), _connector='OR'), name='message_is_of_a_booking_or_a_garment'),
        ),
        migrations.AddConstraint(
            model_name='wording',
            constraint=models.UniqueConstraint(fields=('kind', 'number'), name='one_wording_of_a_number'),
        ),
        migrations.RunPython(forward, backward),
        migrations.RunPython(lay_down_rules, migrations.RunPython.noop),
    ]
