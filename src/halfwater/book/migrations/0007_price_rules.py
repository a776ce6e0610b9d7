from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('book', '0006_refund_day'),
    ]

    operations = [
        migrations.AddField(
            model_name='historicalnursery',
            name='price_move_frac',
            field=models.FloatField(null=True),
        ),
        migrations.AddField(
            model_name='historicalnursery',
            name='price_step_minor',
            field=models.PositiveIntegerField(null=True),
        ),
        migrations.AddField(
            model_name='nursery',
            name='price_move_frac',
            field=models.FloatField(null=True),
        ),
        migrations.AddField(
            model_name='nursery',
            name='price_step_minor',
            field=models.PositiveIntegerField(null=True),
        ),
        migrations.AddConstraint(
            model_name='nursery',
            constraint=models.CheckConstraint(condition=models.Q(('price_move_frac__isnull', True), models.Q(('price_move_frac__gte', 0), ('price_move_frac__lte', 0.5)), _connector='OR'), name='nursery_price_move'),
        ),
    ]
