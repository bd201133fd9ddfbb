"""A signed paper is a fact: the database itself refuses to change or delete it."""

from django.db import migrations

FORWARD = """
CREATE FUNCTION inventory_signed_paper_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'signed paper % is never edited or deleted', OLD.id
        USING ERRCODE = 'integrity_constraint_violation';
END;
$$;
CREATE TRIGGER inventory_signed_paper_stays BEFORE UPDATE OR DELETE ON inventory_signedpaper
    FOR EACH ROW EXECUTE FUNCTION inventory_signed_paper_stays();
"""

BACKWARD = """
DROP TRIGGER inventory_signed_paper_stays ON inventory_signedpaper;
DROP FUNCTION inventory_signed_paper_stays();
"""


class Migration(migrations.Migration):
    dependencies = [("inventory", "0004_papers")]

    operations = [migrations.RunSQL(FORWARD, BACKWARD)]
