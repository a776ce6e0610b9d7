from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('book', '0005_chemistry'),
    ]

    operations = [
        migrations.AddField(
            model_name='order',
            name='refunded_at',
            field=models.DateTimeField(null=True),
        ),
    ]
