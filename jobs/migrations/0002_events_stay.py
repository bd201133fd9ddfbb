"""Events are added and never changed or removed; PostgreSQL itself sees to it."""

from django.db import migrations

STAY = """
CREATE FUNCTION jobs_event_stays() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION 'events are never changed or removed'
        USING ERRCODE = 'restrict_violation', CONSTRAINT = 'event_stays';
END $$ LANGUAGE plpgsql;
CREATE TRIGGER event_stays BEFORE UPDATE OR DELETE ON jobs_event
    FOR EACH ROW EXECUTE FUNCTION jobs_event_stays();
"""

GO = """
DROP TRIGGER event_stays ON jobs_event;
DROP FUNCTION jobs_event_stays();
"""


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]
    operations = [migrations.RunSQL(STAY, GO)]
