@echo off
rem Double-click: starts Lane Ledger, as "py -m app serve" and "py -m app demo" do. Finds a Python; all else is Python's.
setlocal
title Lane Ledger
rem A folder on another computer gets a letter for as long as this runs.
pushd "%~dp0" || goto nowhere
if not exist "app\__main__.py" goto packed

rem Looking for a Python must not fetch one.
set "PYTHON_MANAGER_AUTOMATIC_INSTALL=false"
set "FOUND="
py -3 -c "" >nul 2>nul && set "FOUND=py -3"
rem Windows' own python.exe, where no Python is installed, only leads to a shop: it fails here.
if not defined FOUND python -c "" >nul 2>nul && set "FOUND=python"
if not defined FOUND goto no_python

%FOUND% -m app start
if errorlevel 1 goto failed
popd
exit /b 0

:nowhere
echo The folder of this file can't be opened. Copy Lane Ledger to a folder of your own, such as C:\lane-ledger.
goto failed

:packed
echo This file stands alone. Unpack all of Lane Ledger first (right-click the ZIP file, "Extract all"), then start it there.
goto failed

:no_python
echo This computer has no Python yet. Install the 64-bit Python 3.13 from python.org, then double-click this file again.
echo (The "python3" that Windows has of its own is no Python: it only leads to a shop.)

:failed
echo.
pause
exit /b 1
