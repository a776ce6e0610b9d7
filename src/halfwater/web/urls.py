"""The addresses of the pages."""

from django.urls import path

from halfwater.web import charts
from halfwater.web.api import views as api_views
from halfwater.web.api.calls import api
from halfwater.web.entries import views as entries
from halfwater.web.login import views as login
from halfwater.web.mixes import build as mix_build
from halfwater.web.mixes import card as mix_card
from halfwater.web.mixes import compare as mix_compare
from halfwater.web.mixes import meter as mix_meter
from halfwater.web.mixes import sheets as mix_sheets
from halfwater.web.mixes import stocks as mix_stocks
from halfwater.web.mixes import views as mixes
from halfwater.web.money import views as money
from halfwater.web.more import export
from halfwater.web.more import views as more
from halfwater.web.packing import goods as packing_goods
from halfwater.web.packing import views as packing
from halfwater.web.pattern import views as pattern
from halfwater.web.plan import frame
from halfwater.web.plan import views as plan
from halfwater.web.score import views as scores
from halfwater.web.selling import demand, keys, people
from halfwater.web.selling import files as sales_files
from halfwater.web.selling import lines as sales_lines
from halfwater.web.selling import orders as sales_orders
from halfwater.web.selling import views as sales
from halfwater.web.setup import views as setup
from halfwater.web.stock import lineage, take, take_list
from halfwater.web.stock import pot_views as pots
from halfwater.web.stock import views as stock
from halfwater.web.tanks import care_views as care
from halfwater.web.tanks import sheets
from halfwater.web.tanks import views as tanks
from halfwater.web.tonight import views as tonight

urlpatterns = [
    path("", tonight.tonight, name="tonight"),
    path("tonight/note/", tonight.note, name="tonight-note"),
    path("tonight/undo/<str:on>/", tonight.undo, name="tonight-undo"),
    path("setup/", setup.setup, name="setup"),
    path("tanks/", tanks.tanks, name="tanks"),
    path("tanks/add/", sheets.tank_new, name="tank-new"),
    path("tanks/at/<path:name>/change/", sheets.tank_edit, name="tank-edit"),
    path("tanks/at/<path:name>/place/", sheets.tank_place, name="tank-place"),
    path("tanks/at/<path:name>/note/<str:kind>/", tanks.note_entry, name="tank-note"),
    path("tanks/at/<path:name>/bath/", care.bath, name="tank-bath"),
    path("tanks/at/<path:name>/light/", care.light, name="tank-light"),
    path("tanks/at/<path:name>/air/", care.air, name="tank-air"),
    path("tanks/at/<path:name>/", tanks.tank, name="tank"),
    path("entries/<uuid:uuid>/", entries.entry, name="entry"),
    path("entries/<uuid:uuid>/void/", entries.make_void, name="entry-void"),
    path("entries/<uuid:uuid>/undo/", entries.undo, name="entry-undo"),
    path("photos/<path:name>", entries.photo, name="photo"),
    path("stock/", stock.stock, name="stock"),
    path("stock/add/", stock.batch_edit, name="batch-new"),
    path("stock/<int:key>/", stock.batch, name="batch"),
    path("stock/<int:key>/change/", stock.batch_edit, name="batch-edit"),
    path("stock/<int:batch>/undo/", pots.cut_undo, name="cut-undo"),
    path("stock/pots/<int:key>/", pots.pot, name="pot"),
    path("stock/pots/<int:key>/<slug:kind>/", pots.care, name="pot-care"),
    path("stock/lineage/", lineage.lineage, name="lineage"),
    path("stock/take/", take.take, name="take"),
    path("stock/take/undo/<uuid:uuid>/", take.undo, name="take-undo"),
    path("stock/take/at/<path:tank>/list/", take_list.take_list, name="take-list"),
    path("stock/take/at/<path:tank>/", take.walk_tank, name="walk"),
    path("plan/", plan.plan, name="plan"),
    path("plan/anew/", plan.anew, name="plan-anew"),
    path("plan/what-if/", plan.what_if, name="plan-what-if"),
    path("plan/cut/<slug:key>/", plan.cut, name="plan-cut"),
    path("plan/prices/", frame.frame, name="plan-frame"),
    path("sales/", sales.sales, name="sales"),
    path("sales/add/", sales.release_edit, name="release-new"),
    path("sales/<int:key>/", sales.release, name="release"),
    path("sales/<int:key>/change/", sales.release_edit, name="release-edit"),
    path("sales/<int:key>/line/", sales.line_new, name="line-new"),
    path("sales/<int:key>/line/<int:line>/", sales_lines.line, name="line"),
    path("sales/<int:key>/line/<int:line>/pots/", sales_lines.line_pots, name="line-pots"),
    path("sales/<int:key>/line/<int:line>/<slug:step>/", sales_lines.line_step, name="line-step"),
    path("sales/holds/<uuid:uuid>/go/", sales_lines.hold_go, name="hold-go"),
    path("sales/<int:key>/told/<slug:form>/", sales.told, name="release-told"),
    path("sales/<int:key>/<slug:step>/", sales.release_step, name="release-step"),
    path("sales/<int:release>/orders/add/", sales_orders.order_new, name="order-new"),
    path("sales/orders/", sales_orders.orders, name="orders"),
    path("sales/orders/file/", sales_files.orders_file, name="orders-file"),
    path("sales/orders/<int:number>/", sales_orders.order, name="order"),
    path("sales/orders/<int:number>/cancel/", sales_orders.order_cancel, name="order-cancel"),
    path("sales/orders/<int:number>/others/<int:line>/", sales_orders.substitute, name="order-substitute"),
    path("sales/orders/<int:number>/step/<slug:step>/", sales_orders.order_step, name="order-step"),
    path("sales/orders/<int:number>/back/<slug:step>/", sales_orders.order_back, name="order-back"),
    path("sales/orders/<int:number>/ship/", sales_orders.order_ship, name="order-ship"),
    path("sales/orders/<int:number>/refund/", sales_orders.order_refund, name="order-refund"),
    path("sales/demand/", demand.demand, name="demand"),
    path("sales/buyers/", people.buyers, name="buyers"),
    path("sales/buyers/<int:key>/", people.buyer, name="buyer"),
    path("sales/buyers/<int:key>/export/", people.buyer_export, name="buyer-export"),
    path("sales/buyers/<int:key>/erase/", people.buyer_erase, name="buyer-erase"),
    path("sales/places/", people.places_list, name="places-list"),
    path("sales/places/<int:key>/remove/", people.place_remove, name="place-remove"),
    path("more/keys/", keys.keys, name="keys"),
    path("more/keys/<int:key>/revoke/", keys.key_revoke, name="key-revoke"),
    path("score/", scores.score, name="score"),
    path("mixes/", mixes.mixes, name="mixes"),
    path("mixes/add/", mix_sheets.mix_edit, name="mix-new"),
    path("mixes/build/", mix_build.build, name="mix-build"),
    path("mixes/build/keep/", mix_build.keep, name="mix-keep"),
    path("mixes/build/stocks/", mix_stocks.recipe_stocks, name="recipe-stocks"),
    path("mixes/compare/", mix_compare.compared, name="mix-compare"),
    path("mixes/meter/", mix_meter.meter, name="meter"),
    path("mixes/<int:key>/", mixes.mix, name="mix"),
    path("mixes/<int:key>/change/", mix_sheets.mix_edit, name="mix-edit"),
    path("mixes/<int:key>/stocks/", mix_stocks.mix_stocks, name="mix-stocks"),
    path("mixes/<int:key>/card/", mix_card.card, name="mix-card"),
    path("mixes/feeds/add/", mix_sheets.feed_edit, name="feed-new"),
    path("mixes/feeds/<int:key>/", mix_sheets.feed_edit, name="feed"),
    path("mixes/feeds/<int:key>/at-hand/", mix_sheets.at_hand, name="feed-at-hand"),
    path("mixes/salts/add/", mix_sheets.salt_edit, name="salt-new"),
    path("mixes/salts/<int:key>/", mix_sheets.salt_edit, name="salt"),
    path("mixes/waters/add/", mix_sheets.water_edit, name="water-new"),
    path("mixes/waters/<int:key>/", mix_sheets.water_edit, name="water"),
    path("mixes/targets/add/", mix_sheets.target_edit, name="target-new"),
    path("mixes/targets/<int:key>/", mix_sheets.target_edit, name="target"),
    path("mixes/<slug:noun>/<int:key>/remove/", mix_sheets.remove, name="mixes-remove"),
    path("packing/", packing.bench, name="packing"),
    path("packing/orders/<int:order>/begin/", packing.begin, name="packing-begin"),
    path("packing/parcels/<int:key>/", packing.parcel, name="parcel"),
    path("packing/parcels/<int:key>/tick/", packing.tick, name="parcel-tick"),
    path("packing/parcels/<int:key>/take-out/", packing.take_out, name="parcel-take-out"),
    path("packing/parcels/<int:key>/arrange/", packing.arrange, name="parcel-arrange"),
    path("packing/parcels/<int:key>/send/", packing.send, name="parcel-send"),
    path("packing/parcels/<int:key>/arrived/", packing.arrived, name="parcel-arrived"),
    path("packing/parcels/<int:key>/slip/", packing.slip, name="parcel-slip"),
    path("packing/parcels/<int:key>/label/", packing.label, name="parcel-label"),
    path("packing/goods/", packing_goods.goods, name="packing-goods"),
    path("packing/goods/<slug:kind>/add/", packing_goods.good, name="packing-good-new"),
    path("packing/goods/<slug:kind>/<int:key>/", packing_goods.good, name="packing-good"),
    path("packing/rules/", packing_goods.rules, name="packing-rules"),
    path("money/", money.page, name="money"),
    path("money/costs/", money.sheets, name="money-sheets"),
    path("money/costs/<slug:noun>/add/", money.row, name="money-row-new"),
    path("money/costs/<slug:noun>/<int:key>/", money.row, name="money-row"),
    path("money/costs/<slug:noun>/<int:key>/remove/", money.remove, name="money-remove"),
    path("money/ledger/", money.ledger, name="money-ledger"),
    path("more/", more.more, name="more"),
    path("more/settings/", more.settings, name="settings"),
    path("more/lamps/add/", more.lamp, name="lamp-new"),
    path("more/lamps/<int:key>/", more.lamp, name="lamp"),
    path("more/password/", more.password, name="password"),
    path("more/export/", export.export, name="export"),
    path("more/pattern/", pattern.pattern, name="pattern"),
    path("api/1/openapi.json", api_views.openapi, name="openapi"),
    path("api/1/", api.urls),
    path("api/<path:rest>", api_views.nowhere, name="api-nowhere"),
    path("login/", login.login, name="login"),
    path("logout/", login.logout, name="logout"),
    path("script/charts-<str:mark>.js", charts.serve_chart_script, name="chart-script"),
]
