from datetime import date

from django.urls import path, register_converter

from jobs.selectors.release_records import KINDS
from jobs.views import (
    afterwards,
    app,
    closing,
    crews,
    day_crews,
    days,
    floor,
    forklift,
    live,
    notices,
    office,
    orders,
    pairing,
    papers,
    photos,
    proposals,
    stops,
    telling,
    times,
)


class AfterConverter:
    """What is said to be done when a truck has gone."""

    regex = "swept|mended|stowed|put|equipment|back"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


class DayConverter:
    """A date in an address: 2026-03-04."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(value)

    def to_url(self, value: date) -> str:
        return value.isoformat()


class RecordConverter:
    """What is signed of a job."""

    regex = "|".join(KINDS)

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(AfterConverter, "after")
register_converter(DayConverter, "day")
register_converter(RecordConverter, "record")

app_name = "jobs"

urlpatterns = [
    path("", days.day, name="today"),
    path("days/<day:day>/", days.day, name="day"),
    path("days/<day:day>/times/", times.times, name="times"),
    path("days/<day:day>/times/accept/", proposals.accept, name="proposal-accept"),
    path("days/<day:day>/times/pin/", proposals.pin, name="crew-pin"),
    path("days/<day:day>/times/unpin/", proposals.unpin, name="crew-unpin"),
    path("days/<day:day>/crews/", day_crews.day_crews, name="day-crews"),
    path("days/<day:day>/crews/accept/", day_crews.accept, name="day-crews-accept"),
    path("days/<day:day>/crews/<slug:branch_code>/ask/", day_crews.ask, name="day-crews-ask"),
    path("days/<day:day>/crews/<slug:branch_code>/shift/", day_crews.shift, name="day-crews-shift"),
    path(
        "days/<day:day>/crews/<slug:branch_code>/driver/", day_crews.driver, name="day-crews-driver"
    ),
    path("days/<day:day>/forklift/", forklift.forklift, name="forklift"),
    path("days/<day:day>/forklift/<slug:branch_code>/", forklift.announce, name="arrival"),
    path(
        "days/<day:day>/forklift/<slug:branch_code>/<uuid:arrival_id>/stow/",
        forklift.stow,
        name="arrival-stow",
    ),
    path(
        "days/<day:day>/forklift/<slug:branch_code>/<uuid:arrival_id>/off/",
        forklift.call_off,
        name="arrival-off",
    ),
    path("jobs/<uuid:job_id>/", days.job, name="job"),
    path("jobs/<uuid:job_id>/tasks/", days.tasks, name="tasks"),
    path("jobs/<uuid:job_id>/versions/", days.versions, name="versions"),
    path("jobs/<uuid:job_id>/plans/<int:plan_id>/accept/", days.accept, name="accept"),
    path("jobs/<uuid:job_id>/plan/", days.plan, name="plan"),
    path("jobs/<uuid:job_id>/plan/<uuid:run_id>/end/", days.plan_end, name="plan-end"),
    path("jobs/<uuid:job_id>/order/", orders.choose, name="order"),
    path("jobs/<uuid:job_id>/crew/", days.crew, name="crew"),
    # Papers
    path("jobs/<uuid:job_id>/pulls/", papers.pulls, name="pulls"),
    path("jobs/<uuid:job_id>/tiers/", papers.tier, name="tiers"),
    path("jobs/<uuid:job_id>/tiers/<int:number>/", papers.tier, name="tier"),
    path("jobs/<uuid:job_id>/solid/", papers.solid, name="solid"),
    # The office
    path("office/releases/<int:release_id>/job/", office.job_from_release, name="release-job"),
    path("office/shipments/<int:shipment_id>/stops/", stops.stops, name="shipment-stops"),
    path("afterwards/<slug:branch_code>/", afterwards.afterwards, name="afterwards"),
    path(
        "afterwards/<slug:branch_code>/<after:what>/",
        afterwards.afterwards_done,
        name="afterwards-done",
    ),
    path("office/pieces/<int:item_id>/", office.piece, name="piece"),
    path("office/pieces/<int:item_id>/claim.zip", office.claim, name="claim"),
    path("jobs/<uuid:job_id>/<record:kind>/", office.record, name="record"),
    path("jobs/<uuid:job_id>/<record:kind>.pdf", office.record_unsigned, name="record-pdf"),
    path(
        "jobs/<uuid:job_id>/<record:kind>/<int:version>.pdf",
        office.record_signed,
        name="record-signed",
    ),
    path("jobs/<uuid:job_id>/closing/", closing.closing, name="closing"),
    path("jobs/<uuid:job_id>/closing/account/", closing.account, name="closing-account"),
    path("jobs/<uuid:job_id>/closing/count/", closing.count, name="closing-count"),
    path("jobs/<uuid:job_id>/closing/explain/", closing.explain, name="closing-explain"),
    path("jobs/<uuid:job_id>/closing/close/", closing.close, name="closing-close"),
    # The floor
    path("mine/", floor.mine, name="mine"),
    path("my-task/", floor.my_task, name="my-task"),
    path("jobs/<uuid:job_id>/warehouse/", floor.warehouse, name="warehouse"),
    path("jobs/<uuid:job_id>/loader/", floor.loader, name="loader"),
    path("jobs/<uuid:job_id>/hands/", crews.hands, name="hands"),
    path("jobs/<uuid:job_id>/sheet/", crews.sheet, name="sheet"),
    path("jobs/<uuid:job_id>/fits/", floor.fits, name="fits"),
    path("jobs/<uuid:job_id>/tell/", telling.tell, name="tell"),
    path("jobs/<uuid:job_id>/photos/", photos.photos, name="photos"),
    path("jobs/<uuid:job_id>/batch/", telling.batch, name="batch"),
    path("jobs/<uuid:job_id>/notices/seen/", notices.seen, name="notices-seen"),
    path("jobs/<uuid:job_id>/plans/<int:plan_id>/again/", notices.go_back, name="go-back"),
    # Phones
    path("jobs/<uuid:job_id>/phones/", pairing.phones, name="phones"),
    path("jobs/<uuid:job_id>/phones/<int:member_id>/", pairing.phone_code, name="phone-code"),
    path(
        "jobs/<uuid:job_id>/phones/<uuid:device_id>/revoke/",
        pairing.phone_revoke,
        name="phone-revoke",
    ),
    path("pair/<str:code>/", pairing.pair, name="pair"),
    # Live, installed, offline
    path("live/", live.live, name="live"),
    path("live/since/", live.live_since, name="live-since"),
    path("worker.js", app.worker, name="worker"),
    path("manifest.webmanifest", app.manifest, name="manifest"),
    path("offline/", app.offline, name="offline"),
]
