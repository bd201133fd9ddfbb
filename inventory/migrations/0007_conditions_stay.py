"""What was seen of a piece is a fact: the database itself refuses to change or delete it."""

from django.db import migrations

FORWARD = """
CREATE FUNCTION inventory_condition_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'condition note % is never edited or deleted', OLD.id
        USING ERRCODE = 'integrity_constraint_violation';
END;
$$;
CREATE TRIGGER inventory_condition_stays BEFORE UPDATE OR DELETE ON inventory_conditionnote
    FOR EACH ROW EXECUTE FUNCTION inventory_condition_stays();
"""

BACKWARD = """
DROP TRIGGER inventory_condition_stays ON inventory_conditionnote;
DROP FUNCTION inventory_condition_stays();
"""


class Migration(migrations.Migration):
    dependencies = [("inventory", "0006_condition")]

    operations = [migrations.RunSQL(FORWARD, BACKWARD)]
