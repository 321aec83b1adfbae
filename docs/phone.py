"""Draws the guide of an example as a phone shows it, while it computes.

usage: phone.py GUIDE.html PICTURE.png   (with Selenium and Chromium)
"""
import base64
import pathlib
import sys

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.support.ui import WebDriverWait

page, picture = sys.argv[1:]
options = Options()
for flag in ("--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
    options.add_argument(flag)
options.binary_location = "/usr/bin/chromium"
driver = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)
try:
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride",
                           {"width": 390, "height": 1500, "deviceScaleFactor": 1, "mobile": True})
    driver.get(pathlib.Path(page).absolute().as_uri() + "#heel.indicated=9+L&reading=0.3+L%3A+57+%25")
    WebDriverWait(driver, 60).until(lambda d: d.execute_script("return document.body.dataset.answered"))
    shot = driver.execute_cdp_cmd("Page.captureScreenshot", {"format": "png"})
    pathlib.Path(picture).write_bytes(base64.b64decode(shot["data"]))
finally:
    driver.quit()
