"""Weight tickets are added and never changed or removed; PostgreSQL sees to it."""

from django.db import migrations

STAY = """
CREATE FUNCTION loading_scale_ticket_stays() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION 'weight tickets are never changed or removed'
        USING ERRCODE = 'restrict_violation', CONSTRAINT = 'scale_ticket_stays';
END $$ LANGUAGE plpgsql;
CREATE TRIGGER scale_ticket_stays BEFORE UPDATE OR DELETE ON loading_scaleticket
    FOR EACH ROW EXECUTE FUNCTION loading_scale_ticket_stays();
"""

GO = """
DROP TRIGGER scale_ticket_stays ON loading_scaleticket;
DROP FUNCTION loading_scale_ticket_stays();
"""


class Migration(migrations.Migration):
    dependencies = [("loading", "0007_scale_ticket")]
    operations = [migrations.RunSQL(STAY, GO)]
