"""Found or arrived: a strange bolt, a parcel and a batch, with everything preset."""

from browsing import PHONE
from playwright.sync_api import expect
from starlette.testclient import TestClient

from stores.usecases.context import Context
from stores.usecases.orders import PlaceOrder, one_order, place_order
from stores.usecases.outwork import (
    BeginBatch,
    ListBatches,
    PutIntoBatch,
    SendBatch,
    batches,
    begin_batch,
    put_into_batch,
    send_batch,
)
from stores.web.visit import House


def test_a_batch_is_back_with_what_differs_tapped(address: str, house: House, opened) -> None:  # type: ignore[no-untyped-def]
    context = Context(house.store)
    begin_batch(context, BeginBatch("Brindlecote Platers", "zinc", new_firm=True))
    put_into_batch(context, PutIntoBatch(1, ["1.2", "2.2"]))
    send_batch(context, SendBatch(1))
    with opened(PHONE) as page:
        page.goto(f"{address}/arrived")
        page.get_by_role("link", name="Batch 1, Brindlecote Platers: 6 away").click()
        bolts = page.locator("li", has_text="M6 x 25")
        bolts.get_by_role("button", name="One less").click()
        page.get_by_role("button", name="Record what came back").click()
        expect(page.locator(".told")).to_contain_text("5 pieces")
    (left,) = batches(context, ListBatches()).batches
    assert [(line.item, line.away) for line in left.lines if line.away] == [("1.2", 1)]


def test_a_parcel_is_taken_in_by_one_press(client: TestClient, house: House) -> None:
    place_order(Context(house.store), PlaceOrder("Hollin", ["4 M6x20 hex", "2 M5 nut"]))
    page = client.get("/arrived/order/1").text
    assert 'name="came-1"' in page
    sent = {"order": "1", "came-1": "4", "due-1": "4", "came-2": "0", "due-2": "2", "key": "p"}
    answer = client.post("/do/parcel", data=sent)
    assert answer.status_code == 200
    order = one_order(Context(house.store), 1)
    assert [line.outstanding for line in order.lines] == [0, 2]
    again = client.post("/do/parcel", data=sent | {"key": "q", "came-1": "1", "due-1": "2"})
    assert again.status_code == 422
    assert "1: 1, 2: none" in again.text


def test_a_strange_bolt_is_ranked_over_the_joints_on_record(client: TestClient) -> None:
    answer = client.get("/bolt", params={"od": "5.9", "pitch": "1.0", "length": "24.8"}).text
    assert "clutch cover" in answer
    assert "%" in answer
    refused = client.get("/bolt", params={"od": "five"})
    assert refused.status_code == 422
    assert 'value="five"' in refused.text
