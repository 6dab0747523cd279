"""Days at each stage kept for each garment, and indexes that hold all that is asked for."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('fittings', '0023_kept_answers'),
    ]

    operations = [
        migrations.CreateModel(
            name='StageCount',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('garment_id', models.BigIntegerField(db_index=True)),
                ('kind', models.CharField(max_length=10)),
                ('cutter_id', models.BigIntegerField()),
                ('cut_version_id', models.BigIntegerField()),
                ('left_at', models.DateTimeField()),
                ('stage', models.CharField(max_length=20)),
                ('days', models.FloatField()),
            ],
        ),
        migrations.RemoveIndex(
            model_name='garmentcount',
            name='garment_counts_by_leaving',
        ),
        migrations.RemoveIndex(
            model_name='garmentcount',
            name='garment_counts_by_look',
        ),
        migrations.AlterField(
            model_name='alterationcount',
            name='judged_at',
            field=models.DateTimeField(),
        ),
        migrations.AddIndex(
            model_name='alterationcount',
            index=models.Index(fields=['judged_at', 'kind', 'cutter_id', 'cut_version_id', 'cloth_pattern', 'fitter_id', 'maker_id', 'garment_id', 'alteration_id', 'operation', 'judged_on', 'cured'], name='alteration_counts_by_judging'),
        ),
        migrations.AddIndex(
            model_name='garmentcount',
            index=models.Index(fields=['left_at', 'kind', 'cutter_id', 'cut_version_id', 'cloth_pattern', 'fitter_id', 'maker_id', 'garment_id', 'left_on', 'delivered', 'again', 'back', 'back_days', 'promised', 'late', 'looks'], name='garment_counts_by_leaving'),
        ),
        migrations.AddIndex(
            model_name='garmentcount',
            index=models.Index(fields=['looked_at', 'kind', 'cutter_id', 'cut_version_id', 'cloth_pattern', 'fitter_id', 'maker_id', 'garment_id', 'looked_on', 'answered', 'faults'], name='garment_counts_by_look'),
        ),
        migrations.AddIndex(
            model_name='stagecount',
            index=models.Index(fields=['left_at', 'stage', 'days', 'kind', 'cutter_id', 'cut_version_id', 'garment_id'], name='stage_counts_by_leaving'),
        ),
        migrations.RunSQL(
            'INSERT INTO fittings_recount (garment_id) SELECT id FROM garments_garment',
            migrations.RunSQL.noop,
        ),
    ]
