"""A stored plan is a fact: the database itself refuses to change or delete it."""

from django.db import migrations

FORWARD = """
CREATE FUNCTION loading_plan_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'load plan % is never edited or deleted', OLD.id
        USING ERRCODE = 'integrity_constraint_violation';
END;
$$;
CREATE TRIGGER loading_plan_stays BEFORE UPDATE OR DELETE ON loading_loadplan
    FOR EACH ROW EXECUTE FUNCTION loading_plan_stays();
"""

BACKWARD = """
DROP TRIGGER loading_plan_stays ON loading_loadplan;
DROP FUNCTION loading_plan_stays();
"""


class Migration(migrations.Migration):
    dependencies = [("loading", "0001_initial")]

    operations = [migrations.RunSQL(FORWARD, BACKWARD)]
