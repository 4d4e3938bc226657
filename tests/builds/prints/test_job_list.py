"""The job list for the wall."""

from io import BytesIO

import zxingcpp
from PIL import Image
from pypdf import PdfReader

from builds.codes import qr_png


def test_it_lists_jobs_with_what_holds_them(as_fitter, tern, make_job):
    pipes = make_job(tern, "Make pipes")
    make_job(tern, "Fill system", after=[pipes], needs_signature=True, cautions=["pressure test"])

    answer = as_fitter.get(f"/cars/{tern.pk}/job-list/")

    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    for words in ("Make pipes", "held: Make pipes", "second signature", "pressure test"):
        assert words in text


def test_without_people_it_says_that_the_date_is_as_if_somebody_were_always_free(
    as_manager, tern, make_job, first_start_up, fitter
):
    first_start_up(tern, make_job(tern, "Make pipes"))
    type(fitter).objects.update(role="manager")  # nobody is left who works on cars

    answer = as_manager.get(f"/cars/{tern.pk}/job-list/")

    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    assert "so the date is as if somebody were always free: " in " ".join(text.split())


def test_the_code_opens_the_car_sheet(as_fitter, tern):
    answer = as_fitter.get(f"/cars/{tern.pk}/job-list/")

    picture = PdfReader(BytesIO(answer.content)).pages[0].images[0].image.convert("L")
    assert zxingcpp.read_barcode(picture).text == f"http://testserver/cars/{tern.pk}/"


def test_on_the_workshops_network_the_code_names_the_address_for_tablets(as_fitter, tern, settings):
    settings.TABLET_ADDRESS = "http://192.168.1.20:8000"

    answer = as_fitter.get(f"/cars/{tern.pk}/job-list/", headers={"host": "127.0.0.1:8000"})

    picture = PdfReader(BytesIO(answer.content)).pages[0].images[0].image.convert("L")
    assert zxingcpp.read_barcode(picture).text == f"http://192.168.1.20:8000/cars/{tern.pk}/"


def test_a_code_is_read_back_by_another_decoder():
    picture = Image.open(BytesIO(qr_png("http://192.168.1.20:8000/cars/7/")))

    assert zxingcpp.read_barcode(picture).text == "http://192.168.1.20:8000/cars/7/"
